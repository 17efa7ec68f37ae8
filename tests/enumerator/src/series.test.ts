import { describe, expect, test } from 'vitest';
import { rowsEvery } from './drawn-rows.ts';
import { type Known, rowOf } from './row.ts';
import { View } from './series.ts';

const known: Known = { blindSpeedKph: 3, releasedPedalPct: 0 };

test('a row from plain columns reports what is a number, zero included', () => {
  const values = new Float64Array(21).fill(Number.NaN);
  values[0] = 0;
  values[1] = -1;
  expect(rowOf(7, values)).toEqual({ timeMs: 7, speedKph: 0, gear: -1 });
});

describe('a periodic signal', () => {
  test('shows no change to anybody over 1.5 s, to a proof of `met` over 3 usual intervals, to nobody beyond', () => {
    // Gaps 1, 1, 1.5, 1.6, 3 and 3.1 s; the usual one is the upper median, 1.6 s, so a value stands for 4.8 s at most.
    const at = [0, 1, 2, 3.5, 5.1, 8.1, 11.2, 17];
    const rows = at.map((t) => ({ timeMs: t * 1000, speedKph: 5 + t }));
    const series = new View(rows, { ...known, mode: 'periodic' }).series('speedKph');
    expect(series?.links).toEqual(['shown', 'shown', 'shown', 'agreed', 'agreed', 'agreed', 'hole']);
  });

  test('stands for at least 3 s after its last sample, and no longer than its intervals allow', () => {
    const view = new View(rowsEvery(1, 5, { gear: 1 }), known);
    expect(view.at('gear', 7000)?.value).toBe(1);
    expect(view.at('gear', 7001)).toBeNull();
    expect(view.at('gear', -1)).toBeNull();
  });
});

describe('a stale copy', () => {
  const copied = { timeMs: 1000, speedKph: 4, suspensionKpa: 80 };

  test('is no sample while the vehicle moves', () => {
    const view = new View([{ ...copied, timeMs: 0 }, copied], known);
    expect(view.series('suspensionKpa')?.samples.length).toBe(1);
  });

  test('is one where the vehicle stands, or where one value differs', () => {
    const still = { ...copied, speedKph: 0 };
    expect(new View([{ ...still, timeMs: 0 }, still], known).rows.length).toBe(2);
    expect(new View([{ ...copied, timeMs: 0, suspensionKpa: 81 }, copied], known).rows.length).toBe(2);
  });
});

describe('a change-only signal', () => {
  // Pressure 60 at 0 s, silent rows at 10 and 20 s, 64 at 30 s; the source is silent about less than 3 kPa.
  const rows = [
    { timeMs: 0, suspensionKpa: 60 },
    { timeMs: 10_000, gear: 0 },
    { timeMs: 20_000 },
    { timeMs: 30_000, suspensionKpa: 64 },
  ];
  const sent = (more: Partial<Known> = {}) =>
    new View(rows, { ...known, mode: 'change-only', silentBelow: { suspensionKpa: 3 }, ...more }).series(
      'suspensionKpa',
    );

  test('is within the silent threshold of its last value at every silent row, and until one look before the next', () => {
    // The rows never come closer than 10 s, so a look may be 10 s long: the value is known up to 20 s, not 29 s.
    expect(sent()?.samples).toEqual([
      { timeMs: 0, value: 60, slack: 0 },
      { timeMs: 10_000, value: 60, slack: 3 },
      { timeMs: 20_000, value: 60, slack: 3 },
      { timeMs: 30_000, value: 64, slack: 0 },
    ]);
  });

  test('stands while the rows come no more than 90 s apart', () => {
    expect(sent()?.links).toEqual(['shown', 'shown', 'shown']);
    const silent = [...rows, { timeMs: 120_001, suspensionKpa: 70 }];
    const series = new View(silent, { ...known, mode: 'change-only' }).series('suspensionKpa');
    expect(series?.links.at(-1)).toBe('hole');
  });

  test('has the smallest change ever sent as its threshold where none is known', () => {
    const view = new View(rows, { ...known, mode: 'change-only' });
    expect(view.series('suspensionKpa')?.samples[1].slack).toBe(4);
  });

  test('is told from a periodic one by rows without it', () => {
    const irregular = [0, 1, 2, 9, 10, 31, 32, 33, 55, 80].map((t) => ({ timeMs: t * 1000, torquePct: t }));
    const beat = rowsEvery(1, 90, {});
    const merged = beat.map((row) => ({ ...row, ...irregular.find((r) => r.timeMs === row.timeMs) }));
    const view = new View(merged, known);
    expect(view.series('torquePct')?.mode).toBe('change-only');
    expect(view.series('engineRpm')?.mode).toBe('periodic');
  });
});
