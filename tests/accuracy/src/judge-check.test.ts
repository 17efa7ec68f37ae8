import type { TrueCheck, TrueEpisode } from '@gearhold/fixtures';
import { describe, expect, it } from 'vitest';
import { agreement, covers, truthFor } from './judge-check.ts';
import type { FoundCheck } from './wire.ts';

const said = (
  outcome: FoundCheck['outcome'],
  low: number | null = 0,
  high: number | null = 0,
  unit = 's',
): FoundCheck => ({
  check: 'gear-hold-pause',
  outcome,
  measured: { value: low, low, high, unit },
  reason: '',
});
const really = (outcome: TrueCheck['outcome'], low: number | null = 0, high = low, unit = 's'): TrueCheck => ({
  outcome,
  low,
  high,
  unit,
});

describe('a verdict against the truth', () => {
  it('calls a missed where the truth is met, or where nothing was asked, a false missed', () => {
    expect(agreement(said('missed'), really('met'))).toBe('false-missed');
    expect(agreement(said('missed'), really('not-applicable'))).toBe('false-missed');
  });

  it('tells a wrong met apart from it', () => {
    expect(agreement(said('met'), really('missed'))).toBe('false-met');
  });

  it('holds nothing against a verdict where the truth is open', () => {
    expect(agreement(said('missed'), really('either'))).toBe('open');
    expect(agreement(said('met'), really('either'))).toBe('open');
  });

  it('counts undetermined as such whatever the truth', () => {
    expect(agreement(said('undetermined'), really('met'))).toBe('undetermined');
  });
});

describe('coverage of the truth by bounds', () => {
  it('wants the true value within low and high, but for one step of the simulation', () => {
    expect(covers(said('met', 30, 40), really('met', 35))).toBe(true);
    expect(covers(said('met', 30, 40), really('met', 40.1))).toBe(true);
    expect(covers(said('met', 30, 40), really('met', 41))).toBe(false);
    expect(covers(said('met', 30, 40), really('missed', 29))).toBe(false);
  });

  it('takes a missing side as unbounded', () => {
    expect(covers(said('met', 30, null), really('met', 4000))).toBe(true);
    expect(covers(said('undetermined', null, 10), really('missed', 0))).toBe(true);
  });

  it('is satisfied where the open truth touches the bounds', () => {
    expect(covers(said('undetermined', 20, 28), really('either', 12, 27))).toBe(true);
  });

  it('has nothing to say where nothing was measured', () => {
    expect(covers({ ...said('undetermined'), measured: null }, really('met', 35))).toBeNull();
  });
});

describe('engine speed standing in for the accelerator', () => {
  const verdict: FoundCheck = { ...said('missed', 200, 220, 'r/min'), check: 'backing-above-idle' };
  const episode = (rpm: number) => ({ facts: { highestRpmAboveIdle: rpm } }) as unknown as TrueEpisode;

  it('does not make a foot that was off the pedal a missed, whatever raised the engine', () => {
    expect(agreement(verdict, truthFor(verdict, really('met', 0, 0, '%'), episode(210)))).toBe('false-missed');
  });

  it('agrees that a foot on the pedal which raised the engine was missed', () => {
    expect(agreement(verdict, truthFor(verdict, really('missed', 20, 20, '%'), episode(210)))).toBe('right');
  });
});
