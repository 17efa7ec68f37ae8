import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Pairing, pairInTime } from './pairing.ts';

const minute = 60_000;
const at = (...minutes: number[]) => minutes.map((value) => value * minute);
const hour = 60 * minute;

describe('pairing in time', () => {
  it('pairs the nearest, each once, and leaves the rest alone', () => {
    expect(pairInTime(at(0, 300), at(4, 20, 290), hour)).toEqual({
      pairs: [
        [0, 0],
        [1, 2],
      ],
      aloneA: [],
      aloneB: [1],
    });
  });

  it('pairs nothing further apart than the window', () => {
    expect(pairInTime(at(0), at(61), hour).pairs).toEqual([]);
    expect(pairInTime(at(0), at(60), hour).pairs).toEqual([[0, 0]]);
  });

  it('gives up no near pair for two far ones', () => {
    // 600 and 601 belong together; 542 and 659 would each reach one of them within the hour.
    expect(pairInTime(at(600, 659), at(542, 601), hour)).toEqual({ pairs: [[0, 1]], aloneA: [1], aloneB: [0] });
  });

  it('shifts a whole list that is late rather than pairing across', () => {
    expect(pairInTime(at(10, 20, 30), at(15, 25, 35), hour).pairs).toEqual([
      [0, 0],
      [1, 1],
      [2, 2],
    ]);
  });

  it('takes empty lists', () => {
    expect(pairInTime([], at(1), hour)).toEqual({ pairs: [], aloneA: [], aloneB: [0] });
    expect(pairInTime(at(1), [], hour)).toEqual({ pairs: [], aloneA: [0], aloneB: [] });
  });

  const times = fc
    .array(fc.integer({ min: 0, max: 300 }), { maxLength: 6 })
    .map((list) => at(...list.sort((p, q) => p - q)));

  it('costs as little as the best of all pairings', () => {
    fc.assert(
      fc.property(times, times, fc.integer({ min: 1, max: 120 }), (a, b, window) => {
        const windowMs = window * minute;
        const found = pairInTime(a, b, windowMs);
        const used = found.pairs.flatMap(([i, j]) => [`a${i}`, `b${j}`]);
        expect(new Set(used).size).toBe(used.length);
        expect(found.aloneA.length + found.pairs.length).toBe(a.length);
        expect(found.aloneB.length + found.pairs.length).toBe(b.length);
        for (const [i, j] of found.pairs) expect(Math.abs(a[i]! - b[j]!)).toBeLessThanOrEqual(windowMs);
        expect(costOf(found, a, b, windowMs)).toBeCloseTo(leastCost(a, b, windowMs), 6);
      }),
      { numRuns: 400 },
    );
  });

  it('says the same when both lists are shifted, and mirrored when they change places', () => {
    fc.assert(
      fc.property(times, times, (a, b) => {
        const found = pairInTime(a, b, hour);
        const shifted = pairInTime(
          a.map((time) => time + 5 * hour),
          b.map((time) => time + 5 * hour),
          hour,
        );
        expect(shifted).toEqual(found);
        const mirrored = pairInTime(b, a, hour);
        expect(costOf(mirrored, b, a, hour)).toBeCloseTo(costOf(found, a, b, hour), 6);
      }),
    );
  });
});

function costOf(
  { pairs, aloneA, aloneB }: Pairing,
  a: readonly number[],
  b: readonly number[],
  windowMs: number,
): number {
  const apart = pairs.reduce((sum, [i, j]) => sum + Math.abs(a[i]! - b[j]!), 0);
  return apart + ((aloneA.length + aloneB.length) * windowMs) / 2;
}

/** Tries every pairing, crossing ones too. */
function leastCost(a: readonly number[], b: readonly number[], windowMs: number): number {
  const [first, ...rest] = a;
  if (first === undefined) return (b.length * windowMs) / 2;
  let least = windowMs / 2 + leastCost(rest, b, windowMs);
  for (const [j, other] of b.entries()) {
    if (Math.abs(first - other) > windowMs) continue;
    least = Math.min(least, Math.abs(first - other) + leastCost(rest, b.toSpliced(j, 1), windowMs));
  }
  return least;
}
