import { exactly } from '@gearhold/episodes';
import { describe, expect, it } from 'vitest';
import type { Comparison, RowFound, RowNotFound } from './compare.ts';
import type { StepResult } from './steps.ts';
import { conclude, totalsOf } from './totals.ts';

function foundRow(results: readonly StepResult[], apartSeconds: readonly number[] = []): RowFound {
  const steps = results.map((result) => ({ check: 'gear-hold-pause', seen: 's', said: 'S.', expected: 'met', result }));
  const times = apartSeconds.map((apart) => ({
    milestone: 'pullOutTime',
    watchedMs: apart * 1000,
    bounds: exactly(0),
    outsideSeconds: 0,
  }));
  return { steps, times } as unknown as RowFound;
}

function comparison(found: readonly RowFound[], more: Partial<Comparison> = {}): Comparison {
  return { found, notFound: [], unwatched: [], noReadings: [], quiet: 0, ...more };
}

const said = (of: Comparison) => conclude(of, totalsOf(of)).sentences.join(' ').replaceAll('\u00a0', ' ');
const many = (times: number, ...results: StepResult[]) => Array.from({ length: times }, () => foundRow(results));

describe('what is concluded', () => {
  it('is nothing before thirty were watched', () => {
    const words = said(comparison(many(12, 'right')));
    expect(words).toMatch(/^Not enough watched: 12 of 30\. Act on no verdict/);
    expect(words).not.toMatch(/Found|interval/);
  });

  it('counts what was not found as watched', () => {
    const words = said(comparison(many(29, 'right'), { notFound: [{} as RowNotFound] }));
    expect(words).toMatch(/^30 watched, 30 are enough\. Found: 29 of 30 \(83\.3 to 99\.4 %\)\./);
    expect(words).toContain(
      'None of 29 steps seen done was called missed; by the 95 % interval it may happen to up to 11.7 %',
    );
  });

  it('says a false missed before all else, however few were watched', () => {
    const words = said(comparison([...many(2, 'right'), ...many(1, 'false-missed')]));
    expect(words).toMatch(
      /^1 step was called missed though a person saw it done\. Act on no missed verdict of gear-hold-pause until the cause is known\. Not enough watched: 3 of 30\./,
    );
  });

  it('says what was called missed where nobody saw anything happen', () => {
    const unwatched = [{ missed: [{}, {}] }, { missed: [] }] as unknown as Comparison['unwatched'];
    expect(said(comparison([], { unwatched }))).toMatch(
      /^2 steps were called missed at a coupling or uncoupling that nobody saw happen/,
    );
  });

  it('claims nothing of false missed verdicts where no step was seen done', () => {
    expect(said(comparison(many(30)))).toContain('of false missed verdicts nothing is known');
  });
});

describe('the totals', () => {
  it('count each result by check, with the interval of the false missed among steps seen done', () => {
    const { steps, falseMissed } = totalsOf(
      comparison([foundRow(['right', 'undetermined', 'false-missed', 'not-asked'])]),
    );
    expect(steps).toHaveLength(1);
    expect(steps[0]?.times).toMatchObject({
      right: 1,
      undetermined: 1,
      'false-missed': 1,
      'not-asked': 1,
      'false-met': 0,
    });
    expect(falseMissed).toMatchObject({ count: 1, of: 3 });
  });

  it('tell how far the watch is off, of five times at least', () => {
    expect(totalsOf(comparison([foundRow([], [7, 8, 9, 8])])).watchAheadSeconds).toBeNull();
    expect(totalsOf(comparison([foundRow([], [7, 8, 9, 8, 60])])).watchAheadSeconds).toBe(8);
  });
});
