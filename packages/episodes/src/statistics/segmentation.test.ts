import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { prefixSums, segmentByCount, segmentByPenalty, segmentCost, segmentMean } from './segmentation.ts';

/** Squared error about the weighted mean, the slow and plain way. */
function plainCost(values: readonly number[], weights: readonly number[]): number {
  const total = weights.reduce((a, b) => a + b, 0);
  const mean = values.reduce((a, v, i) => a + v * weights[i], 0) / total;
  return values.reduce((a, v, i) => a + weights[i] * (v - mean) ** 2, 0);
}

/** Every partition of n samples into segments of at least `least`, as lists of breaks. */
function* partitions(n: number, least: number): Generator<number[]> {
  for (let mask = 0; mask < 2 ** (n - 1); mask += 1) {
    const breaks: number[] = [];
    for (let i = 0; i < n - 1; i += 1) if (mask & (1 << i)) breaks.push(i + 1);
    const edges = [0, ...breaks, n];
    if (edges.every((edge, i) => i === 0 || edge - edges[i - 1] >= least)) yield breaks;
  }
}

function partitionCost(values: readonly number[], weights: readonly number[], breaks: readonly number[]): number {
  const edges = [0, ...breaks, values.length];
  return edges.slice(1).reduce((sum, to, i) => {
    return sum + plainCost(values.slice(edges[i], to), weights.slice(edges[i], to));
  }, 0);
}

const short = fc.array(fc.oneof(fc.integer({ min: -4, max: 4 }), fc.double({ noNaN: true, min: -9, max: 9 })), {
  minLength: 1,
  maxLength: 9,
});

describe('with a penalty', () => {
  test('no partition of any short series is better, whatever the penalty, the weights and the shortest segment', () => {
    fc.assert(
      fc.property(
        short,
        fc.double({ noNaN: true, min: 0.001, max: 60 }),
        fc.integer({ min: 1, max: 4 }),
        fc.infiniteStream(fc.double({ noNaN: true, min: 0.1, max: 5 })),
        (values, penalty, least, stream) => {
          const weights = values.map(() => stream.next().value);
          const prefix = prefixSums(Float64Array.from(values), Float64Array.from(weights));
          const found = segmentByPenalty(prefix, penalty, least);
          let lowest = plainCost(values, weights);
          for (const breaks of partitions(values.length, least)) {
            lowest = Math.min(lowest, partitionCost(values, weights, breaks) + penalty * breaks.length);
          }
          expect(found.cost).toBeCloseTo(partitionCost(values, weights, found.breaks), 8);
          expect(found.cost + penalty * found.breaks.length).toBeCloseTo(lowest, 8);
          const edges = [0, ...found.breaks, values.length];
          if (found.breaks.length > 0) {
            expect(Math.min(...edges.slice(1).map((to, i) => to - edges[i]))).toBeGreaterThanOrEqual(least);
          }
        },
      ),
      { numRuns: 400 },
    );
  });

  test('forgetting starts loses nothing: long series cost the same as when every start is kept', () => {
    const walk = fc.array(fc.tuple(fc.integer({ min: 1, max: 40 }), fc.integer({ min: -60, max: 60 })), {
      minLength: 1,
      maxLength: 12,
    });
    fc.assert(
      fc.property(
        walk,
        fc.infiniteStream(fc.integer({ min: -3, max: 3 })),
        fc.double({ noNaN: true, min: 0.1, max: 900 }),
        fc.integer({ min: 1, max: 8 }),
        (levels, noise, penalty, least) => {
          const values = levels.flatMap(([count, level]) => {
            return Array.from({ length: count }, () => level + noise.next().value);
          });
          const prefix = prefixSums(Float64Array.from(values));
          const best = [-penalty];
          for (let end = 1; end <= values.length; end += 1) {
            best[end] = Number.POSITIVE_INFINITY;
            for (let start = 0; start <= end - least; start += 1) {
              best[end] = Math.min(best[end], best[start] + segmentCost(prefix, start, end) + penalty);
            }
          }
          fc.pre(values.length >= least);
          const found = segmentByPenalty(prefix, penalty, least);
          expect(found.cost + penalty * found.breaks.length).toBeCloseTo(best[values.length], 6);
        },
      ),
      { numRuns: 200 },
    );
  });

  test('a long stretch without a break stays fast', () => {
    // A congruential generator stands in for sensor noise: no ties, nothing to prune by luck.
    let seed = 1;
    const values = Float64Array.from({ length: 20_000 }, () => {
      seed = (seed * 1_664_525 + 1_013_904_223) % 2 ** 32;
      return seed / 2 ** 32;
    });
    const started = performance.now();
    expect(segmentByPenalty(prefixSums(values), 4, 3).breaks).toEqual([]);
    expect(performance.now() - started).toBeLessThan(2000);
  });

  test('a bump on a level is found where splitting one at a time would stop', () => {
    const bump = Float64Array.of(0, 0, 0, 0, 5, 5, 5, 5, 0, 0, 0, 0);
    expect(segmentByPenalty(prefixSums(bump), 20)).toEqual({ breaks: [4, 8], cost: 0 });
  });

  test('an offset of ten million changes neither the breaks nor the cost', () => {
    const values = [30, 31, 29, 30, 62, 61, 63, 62, 61, 30, 29, 31];
    const lifted = segmentByPenalty(prefixSums(Float64Array.from(values, (v) => v + 1e7)), 5);
    expect(lifted.breaks).toEqual([4, 9]);
    expect(lifted.cost).toBeCloseTo(6.8, 9);
  });

  test('a series without samples, or too short for two segments, has no break', () => {
    expect(segmentByPenalty(prefixSums(Float64Array.of()), 1)).toEqual({ breaks: [], cost: 0 });
    expect(segmentByPenalty(prefixSums(Float64Array.of(0, 9, 0)), 1, 2).breaks).toEqual([]);
  });

  test('a constant series keeps one segment however little a break costs', () => {
    expect(segmentByPenalty(prefixSums(new Float64Array(50).fill(0.1)), 1e-12).breaks).toEqual([]);
  });

  test('refuses a penalty that is not above 0 and a shortest segment of none', () => {
    const prefix = prefixSums(Float64Array.of(1, 2));
    expect(() => segmentByPenalty(prefix, 0)).toThrow('penalty 0 is not above 0');
    expect(() => segmentByPenalty(prefix, Number.NaN)).toThrow('penalty NaN');
    expect(() => segmentByPenalty(prefix, 1, 0)).toThrow('minimum length 0');
  });
});

describe('with a fixed number of segments', () => {
  test('no partition of that many segments is better', () => {
    fc.assert(
      fc.property(short, fc.integer({ min: 1, max: 4 }), fc.integer({ min: 1, max: 2 }), (values, segments, least) => {
        fc.pre(values.length >= segments * least);
        const weights = values.map(() => 1);
        const found = segmentByCount(prefixSums(Float64Array.from(values)), segments, least);
        let lowest = Number.POSITIVE_INFINITY;
        for (const breaks of partitions(values.length, least)) {
          if (breaks.length !== segments - 1) continue;
          lowest = Math.min(lowest, partitionCost(values, weights, breaks));
        }
        expect(found.breaks).toHaveLength(segments - 1);
        expect(found.cost).toBeCloseTo(lowest, 8);
        expect(partitionCost(values, weights, found.breaks)).toBeCloseTo(lowest, 8);
      }),
      { numRuns: 300 },
    );
  });

  test('refuses more segments than the samples hold', () => {
    expect(() => segmentByCount(prefixSums(Float64Array.of(1, 2, 3)), 2, 2)).toThrow(
      '3 samples do not hold 2 segments',
    );
    expect(() => segmentByCount(prefixSums(Float64Array.of(1, 2, 3)), 0)).toThrow('0 is not a number of segments');
  });
});

describe('prefix sums', () => {
  test('give mean and cost of any stretch', () => {
    const prefix = prefixSums(Float64Array.of(1, 2, 3, 10), Float64Array.of(1, 1, 2, 5));
    expect(segmentMean(prefix, 0, 3)).toBeCloseTo(2.25, 12);
    expect(segmentCost(prefix, 0, 3)).toBeCloseTo(plainCost([1, 2, 3], [1, 1, 2]), 12);
    expect(segmentCost(prefix, 3, 4)).toBe(0);
  });

  test('refuse weights of another length', () => {
    expect(() => prefixSums(Float64Array.of(1, 2), Float64Array.of(1))).toThrow('2 values, but 1 weights');
  });
});
