import type { WireEpisode } from '@gearhold/policy';
import { describe, expect, it } from 'vitest';
import { compareSteps } from './steps.ts';
import type { StepsSeen, WatchedEpisode } from './watched.ts';

const nothingSeen: StepsSeen = {
  gotOut: null,
  stopSeconds: null,
  tugTests: null,
  pause: null,
  pauseSeconds: null,
  parkingBrakeSet: null,
  dumpUsed: null,
  secondHit: null,
};

type Verdicts = Readonly<Record<string, readonly [outcome: string, limit: object]>>;

/** Results by check of what was seen against what was said. */
function results(
  kind: WatchedEpisode['kind'],
  seen: Partial<StepsSeen>,
  verdicts: Verdicts,
  { dumped = null as boolean | null, times = {} as Record<string, number> } = {},
) {
  const row = {
    kind,
    steps: { ...nothingSeen, ...seen },
    times: new Map(Object.entries(times)),
  } as unknown as WatchedEpisode;
  const checks = Object.entries(verdicts).map(([check, [outcome, limit]]) => ({
    check,
    outcome,
    limit,
    reason: 'Said.',
  }));
  const compared = compareSteps(row, { checks, suspensionDumped: dumped } as unknown as WireEpisode, 2);
  return Object.fromEntries(compared.map(({ check, result }) => [check, result]));
}

const pause = (outcome: string, dumpedPause = 'either'): Verdicts => ({
  'gear-hold-pause': [outcome, { minSeconds: 30, dumpedPause }],
});

describe('the gear-hold pause that was seen', () => {
  it.each([
    ['under-nose', 45, 'met', 'right'],
    ['under-nose', 45, 'missed', 'false-missed'],
    ['under-nose', 45, 'undetermined', 'undetermined'],
    ['under-nose', 45, 'not-applicable', 'not-asked'],
    ['under-nose', 12, 'met', 'false-met'],
    ['under-nose', 12, 'missed', 'right'],
    ['none', null, 'missed', 'right'],
    ['none', null, 'met', 'false-met'],
  ] as const)('%s of %s s against %s is %s', (place, seconds, outcome, result) => {
    const seen = results('uncoupling', { pause: place, pauseSeconds: seconds }, pause(outcome));
    expect(seen).toEqual({ 'gear-hold-pause': result });
  });

  it('is left open within two presses of the stopwatch of the limit', () => {
    for (const [seconds, result] of [
      [25.9, 'false-met'],
      [26.1, 'open'],
      [33.9, 'open'],
      [34, 'right'],
    ] as const) {
      const seen = results('uncoupling', { pause: 'under-nose', pauseSeconds: seconds }, pause('met'));
      expect(seen['gear-hold-pause']).toBe(result);
    }
  });

  it('is worked out from its times where its length was not written, and not compared without either', () => {
    const times = { holdStartTime: 0, holdEndTime: 45_000 };
    expect(results('uncoupling', { pause: 'under-nose' }, pause('missed'), { times })).toEqual({
      'gear-hold-pause': 'false-missed',
    });
    expect(results('uncoupling', { pause: 'under-nose' }, pause('missed'))).toEqual({});
  });

  it('accuses nobody of a wrong verdict where the policy counts only another pause', () => {
    const dumped = { pause: 'under-nose', pauseSeconds: 45, dumpUsed: true } as const;
    expect(results('uncoupling', dumped, pause('missed', 'before-pull'))['gear-hold-pause']).toBe('open');
    expect(results('uncoupling', dumped, pause('missed', 'either'))['gear-hold-pause']).toBe('false-missed');
    const noAirOut = { pause: 'before-pull', pauseSeconds: 45, dumpUsed: false } as const;
    expect(results('uncoupling', noAirOut, pause('missed'))['gear-hold-pause']).toBe('open');
    // The longest was too short: whatever counts was too short as well.
    expect(results('uncoupling', { ...dumped, pauseSeconds: 10 }, pause('met', 'before-pull'))['gear-hold-pause']).toBe(
      'false-met',
    );
  });
});

describe('other steps that were seen', () => {
  it('holds tug tests against the count that was asked', () => {
    const asked = (outcome: string): Verdicts => ({ 'tug-test-count': [outcome, { minCount: 2 }] });
    expect(results('coupling', { tugTests: 2 }, asked('missed'))).toEqual({ 'tug-test-count': 'false-missed' });
    expect(results('coupling', { tugTests: 1 }, asked('missed'))).toEqual({ 'tug-test-count': 'right' });
  });

  it('takes getting out to look for a stop of 10 s, and staying in the cab for nothing', () => {
    const asked = (minSeconds: number): Verdicts => ({ 'approach-stop': ['missed', { minSeconds }] });
    expect(results('coupling', { gotOut: true }, asked(10))).toEqual({ 'approach-stop': 'false-missed' });
    expect(results('coupling', { gotOut: true }, asked(60))).toEqual({ 'approach-stop': 'open' });
    expect(results('coupling', { gotOut: false }, asked(10))).toEqual({});
    expect(results('coupling', { gotOut: true, stopSeconds: 3 }, asked(10))).toEqual({ 'approach-stop': 'right' });
  });

  it('holds the brake, the second hit and the air against what was said', () => {
    const verdicts: Verdicts = { 'parking-brake-set': ['missed', {}], 'load-returned': ['met', {}] };
    const seen = { parkingBrakeSet: true, secondHit: true, dumpUsed: true };
    expect(results('uncoupling', seen, verdicts, { dumped: false })).toEqual({
      'parking-brake-set': 'false-missed',
      'load-returned': 'false-met',
      suspensionDumped: 'wrong',
    });
    expect(results('uncoupling', { dumpUsed: true }, {}, { dumped: null })).toEqual({
      suspensionDumped: 'undetermined',
    });
  });

  it('compares nothing with a check that the policy does not have', () => {
    expect(results('coupling', { tugTests: 2 }, {})).toEqual({ 'tug-test-count': 'not-asked' });
  });
});
