/**
 * Breaks in series that the literature agrees on.
 *
 * Sources: R 4.2.2 with strucchange 1.5-3 (`breakpoints`, minimum segment 15 % of the series) and exact dynamic programmes
 * on the data sets named in `data/README.md`. That the flow of the Nile breaks in 1898, when the first Aswan dam was
 * built, is stated in the help page of strucchange. Bai and Perron 2003 for the real interest rate.
 */
import { describe, expect, test } from 'vitest';
import { mad } from '../../packages/episodes/src/statistics/robust.ts';
import {
  prefixSums,
  segmentByCount,
  segmentByPenalty,
  segmentCost,
  segmentMean,
} from '../../packages/episodes/src/statistics/segmentation.ts';
import { readColumn } from './published-data.ts';

describe('the Nile, 1871 to 1970', () => {
  const flow = readColumn('nile.csv', 'flow');
  const prefix = prefixSums(flow);

  test('one break, after 1898, between the means that are published', () => {
    const found = segmentByCount(prefix, 2);
    expect(found.breaks.map((last) => 1870 + last)).toEqual([1898]);
    expect(segmentMean(prefix, 0, 28)).toBeCloseTo(1097.75, 9);
    expect(segmentMean(prefix, 28, 100)).toBeCloseTo(849.972222222, 8);
    expect(Math.sqrt(segmentCost(prefix, 0, 28) / 27)).toBeCloseTo(134.996193362, 8);
    expect(Math.sqrt(segmentCost(prefix, 28, 100) / 71)).toBeCloseTo(124.77641663, 8);
  });

  test.each([
    [0, [], 2835156.75],
    [1, [28], 1597457.19444444],
    [2, [28, 83], 1552923.6157754],
    [3, [28, 68, 83], 1538096.5127451],
    [4, [28, 45, 68, 83], 1507888.47591645],
    // With at least 15 years a segment the sixth one must begin where it does harm: the error rises.
    [5, [15, 30, 45, 68, 83], 1659993.50042626],
  ])('%d breaks with at least 15 years a segment', (count, breaks, cost) => {
    const found = segmentByCount(prefix, count + 1, 15);
    expect(found.breaks).toEqual(breaks);
    expect(found.cost).toBeCloseTo(cost, 5);
  });

  test.each([
    [2, [28], 1597457.194444],
    [3, [19, 28], 1542326.657895],
    [4, [28, 83, 95], 1438125.536364],
    [5, [28, 41, 45, 47], 1341858.933599],
    [6, [28, 37, 40, 45, 47], 1264751.391719],
  ])('%d segments of any length', (segments, breaks, cost) => {
    const found = segmentByCount(prefix, segments);
    expect(found.breaks).toEqual(breaks);
    expect(found.cost).toBeCloseTo(cost, 5);
  });

  test.each([100_000, 150_000, 200_000, 263_765.239146, 395_647.858718, 500_000])(
    'a penalty of %d finds 1898 alone',
    (penalty) => {
      expect(segmentByPenalty(prefix, penalty).breaks).toEqual([28]);
    },
  );

  test('a penalty just above the gain of 1237699.56 finds none', () => {
    expect(segmentByPenalty(prefix, 1_237_700).breaks).toEqual([]);
    expect(segmentByPenalty(prefix, 1_237_699).breaks).toEqual([28]);
  });

  test('scaled by the noise of its differences: ln n over-segments, 2 ln n and 3 ln n find 1898 alone', () => {
    const differences = Float64Array.from({ length: 99 }, (_, i) => (flow[i + 1] ?? 0) - (flow[i] ?? 0));
    const noise = mad(differences) / Math.SQRT2;
    expect(noise).toBeCloseTo(115.319216516589, 9);
    const scaled = prefixSums(flow.map((value) => value / noise));
    const penalised = (penalty: number) => {
      const found = segmentByPenalty(scaled, penalty);
      return { breaks: found.breaks, cost: found.cost + penalty * found.breaks.length };
    };
    const once = penalised(Math.log(100));
    expect(once.breaks).toEqual([6, 7, 10, 19, 28, 37, 40, 45, 47, 83, 95]);
    expect(once.cost).toBeCloseTo(112.08006309, 7);
    const twice = penalised(2 * Math.log(100));
    expect(twice.breaks).toEqual([28]);
    expect(twice.cost).toBeCloseTo(129.33325559, 7);
    const thrice = penalised(3 * Math.log(100));
    expect(thrice.breaks).toEqual([28]);
    expect(thrice.cost).toBeCloseTo(133.93842578, 7);
  });
});

describe('other series', () => {
  test.each([
    ['ukdriverdeaths.csv', 'deaths', [72], 12386604.819444],
    ['ukdriverdeaths.csv', 'deaths', [72, 169], 10719499.168391],
    ['ukdriverdeaths.csv', 'deaths', [10, 72, 169], 9790729.232818],
    ['discoveries.csv', 'n', [73], 434.664637],
    ['discoveries.csv', 'n', [24, 29], 362.574648],
    ['discoveries.csv', 'n', [24, 29, 73], 299.53064],
    // A Poisson likelihood puts this break after 1891; a squared error, which is what we use, after 1886.
    ['coal-disasters.csv', 'disasters', [36], 172.697368],
  ])('%s, %s: breaks after %j', (file, column, breaks, cost) => {
    const found = segmentByCount(prefixSums(readColumn(file, column)), breaks.length + 1);
    expect(found.breaks).toEqual(breaks);
    expect(found.cost).toBeCloseTo(cost, 5);
  });

  test.each([
    ['realint.csv', 'r', 15, [47, 79], 455.950179],
    ['realint.csv', 'r', 15, [24, 47, 79], 445.181865],
    ['discoveries.csv', 'n', 15, [24, 73], 391.185185185],
  ])('%s, %s, segments of at least %d: breaks after %j', (file, column, least, breaks, cost) => {
    const found = segmentByCount(prefixSums(readColumn(file, column)), breaks.length + 1, least);
    expect(found.breaks).toEqual(breaks);
    expect(found.cost).toBeCloseTo(cost, 5);
  });

  test('the real interest rate has the published means between 1972(3) and 1980(3)', () => {
    const prefix = prefixSums(readColumn('realint.csv', 'r'));
    const means = [segmentMean(prefix, 0, 47), segmentMean(prefix, 47, 79), segmentMean(prefix, 79, 103)];
    for (const [i, mean] of [1.355037234, -1.796138437, 5.642889583].entries()) expect(means[i]).toBeCloseTo(mean, 8);
  });

  test('the logarithm of driver deaths breaks after 1974(12) and 1981(12)', () => {
    const logs = readColumn('ukdriverdeaths.csv', 'deaths').map(Math.log);
    const found = segmentByCount(prefixSums(logs), 3, 28);
    expect(found.breaks).toEqual([72, 156]);
    expect(found.cost).toBeCloseTo(3.85367947, 7);
  });
});
