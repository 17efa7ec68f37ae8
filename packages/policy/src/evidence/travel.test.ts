import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { at, evidenceOf, type Row, rowsEvery } from '../testing/scene.ts';
import { leastMetres, mostMetres } from './travel.ts';

const bounds = (rows: readonly Row[], from: number, to: number, every = 1) => {
  const evidence = evidenceOf(rows, { cadence: { usualMs: every * 1000 }, learned: { blindSpeedKph: 3.6 } });
  return [leastMetres(evidence, at(from), at(to)), mostMetres(evidence, at(from), at(to))];
};

describe('metres between two instants', () => {
  it('are known at constant speed', () => {
    const rows = rowsEvery(1, 0, 10, (t) => ({ speedKph: 7.2, engineRpm: 700 + t }));
    const [least, most] = bounds(rows, 2, 7);
    expect(least).toBeCloseTo(10, 9);
    expect(most).toBeCloseTo(10, 9);
  });

  it('lie between what the slower and the faster of two samples give', () => {
    const rows = [
      { t: 0, speedKph: 3.6 },
      { t: 1, speedKph: 7.2 },
    ];
    expect(bounds(rows, 0, 1)).toEqual([1, 2]);
  });

  it('may hide the blind speed behind zeros, unless the truck is parked', () => {
    const zeros = rowsEvery(1, 0, 10, () => ({ speedKph: 0 }));
    expect(bounds(zeros, 0, 10)).toEqual([0, 10]);
    expect(
      bounds(
        zeros.map((row) => ({ ...row, parkingBrake: 1 })),
        0,
        10,
      ),
    ).toEqual([0, 0]);
  });

  it('have no upper bound beyond the samples', () => {
    expect(bounds([{ t: 0, speedKph: 3 }], 0, 10)[1]).toBe(Number.POSITIVE_INFINITY);
  });

  it('over a long gap are at least what hard braking and gathering speed leave', () => {
    const rows = [
      { t: 0, speedKph: 36, engineRpm: 900 },
      { t: 5, speedKph: 36, engineRpm: 905 },
    ];
    const [least, most] = bounds(rows, 0, 5, 5);
    expect(least).toBeGreaterThan(30);
    expect(least).toBeLessThan(50);
    expect(most).toBeGreaterThan(50);
  });

  it('hold the way of a smooth drive, however sparsely it is sampled', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(1, 2, 5),
        fc.double({ min: 0.02, max: 0.15, noNaN: true }),
        fc.double({ min: 1, max: 5, noNaN: true }),
        (every, rate, top) => {
          // Speed top * (1 - cos), m/s: its way is known exactly, and it never gathers more than 0.75 m/s2.
          const mps = (t: number) => top * (1 - Math.cos(rate * t));
          const way = (t: number) => top * (t - Math.sin(rate * t) / rate);
          const rows = rowsEvery(every, 0, 40, (t) => ({ speedKph: 3.6 * mps(t), engineRpm: 700 + t }));
          const [least, most] = bounds(rows, 10, 30, every);
          expect(least).toBeLessThanOrEqual(way(30) - way(10) + 1e-9);
          expect(most).toBeGreaterThanOrEqual(way(30) - way(10) - 1e-9);
        },
      ),
      { numRuns: 300, seed: 29 },
    );
  });
});
