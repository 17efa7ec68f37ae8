/**
 * Exact segmentation of four short series, with a penalty and for each number of breaks.
 *
 * Source: all partitions enumerated in R 4.2.2 and checked against a dynamic programme (`data/segmentation-reference.json`);
 * the penalised optima below come from the same enumeration. Breaks are the 1-based index of the last sample of each
 * segment but the last.
 */
import { describe, expect, test } from 'vitest';
import { z } from 'zod';
import {
  prefixSums,
  segmentByCount,
  segmentByPenalty,
  segmentCost,
} from '../../packages/episodes/src/statistics/segmentation.ts';
import { readJson } from './published-data.ts';

const reference = z
  .object({
    series: z.record(z.string(), z.array(z.number())),
    optimal: z.record(z.string(), z.record(z.string(), z.tuple([z.array(z.number()), z.number()], z.unknown()))),
  })
  .parse(readJson('segmentation-reference.json'));

const sums = (name: string) => prefixSums(Float64Array.from(reference.series[name] ?? []));

const counted = Object.entries(reference.optimal).flatMap(([name, optima]) =>
  Object.entries(optima).map(([count, [breaks, cost]]) => [name, Number(count), breaks, cost] as const),
);

test('the reference holds what is checked here', () => {
  expect(Object.keys(reference.series)).toEqual(['A', 'B', 'C', 'D']);
  expect(counted.length).toBeGreaterThanOrEqual(18);
});

test.each(counted)('series %s with %d breaks', (name, count, breaks, cost) => {
  const found = segmentByCount(sums(name), count + 1);
  expect(found.cost).toBeCloseTo(cost, 8);
  // Series D with one break is a tie of 4 and 8: either is the optimum.
  if (name === 'D' && count === 1) expect([[4], [8]]).toContainEqual(found.breaks);
  else expect(found.breaks).toEqual(breaks);
});

test.each([
  ['A', 2 * Math.log(12), [4, 9], 16.7396265992],
  ['A', 5, [4, 9], 16.8],
  ['A', 10, [4, 9], 26.8],
  ['A', 50, [4, 9], 106.8],
  ['A', 1000, [4, 9], 2006.8],
  ['B', 1, [4, 7, 10], 5.780833333],
  ['B', 5, [4, 7, 10], 17.780833333],
  ['B', 10, [4, 7, 10], 32.780833333],
  ['B', 50, [10], 83.124],
  ['B', 100, [], 127.917142857],
  ['C', 1, [1, 2, 3, 5, 6, 11, 12], 10.966666667],
  ['C', 5, [5, 11], 22.7],
  ['C', 10, [5, 11], 32.7],
  ['C', 50, [], 78.933333333],
])('series %s with a penalty of %d', (name, penalty, breaks, cost) => {
  const found = segmentByPenalty(sums(name), penalty);
  expect(found.breaks).toEqual(breaks);
  expect(found.cost + penalty * found.breaks.length).toBeCloseTo(cost, 8);
});

test('series A with a penalty of 1 is a tie of three breaks and four: either is the optimum of 8.3', () => {
  const found = segmentByPenalty(sums('A'), 1);
  expect([
    [4, 9, 11],
    [2, 4, 9, 11],
  ]).toContainEqual(found.breaks);
  expect(found.cost + found.breaks.length).toBeCloseTo(8.3, 8);
});

describe('where splitting one at a time goes wrong', () => {
  test('series C at a penalty of 25: the first split gains too little, the pair pays', () => {
    const prefix = sums('C');
    const whole = segmentCost(prefix, 0, 15);
    const firstSplit = segmentByCount(prefix, 2);
    expect(whole - firstSplit.cost).toBeCloseTo(20.3878787879, 8);
    const found = segmentByPenalty(prefix, 25);
    expect(found.breaks).toEqual([5, 11]);
    expect(found.cost + 50).toBeCloseTo(62.7, 8);
  });

  test('series D: no single split gains more than 16.67, the bump gains 66.67', () => {
    const prefix = sums('D');
    const gains = Array.from({ length: 11 }, (_, i) => {
      return segmentCost(prefix, 0, 12) - segmentCost(prefix, 0, i + 1) - segmentCost(prefix, i + 1, 12);
    });
    const published = [3.0303, 6.6667, 11.1111, 16.6667, 3.8095, 0, 3.8095, 16.6667, 11.1111, 6.6667, 3.0303];
    for (const [i, gain] of gains.entries()) expect(gain).toBeCloseTo(published[i] ?? Number.NaN, 4);
    expect(segmentByPenalty(prefix, 16.7).breaks).toEqual([4, 8]);
    expect(segmentByPenalty(prefix, 33.3).breaks).toEqual([4, 8]);
    expect(segmentByPenalty(prefix, 33.4).breaks).toEqual([]);
  });
});
