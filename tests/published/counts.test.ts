/**
 * Rates of counts, their shrinkage and their comparison.
 *
 * Sources: exact limits of a count, F. Garwood 1936, Biometrika 28:437-442 (digits: R 4.2.2, `poisson.test`; the printed tables
 * have two or three decimals and agree, from memory); Welsh nickel workers and the two-rate example: R help of `poisson.test`;
 * Clopper-Pearson: R 4.2.2, `binom.test`, for pairs of R. G. Newcombe 1998, Statist. Med. 17:857-872, table I; Scottish lip cancer: D.
 * Clayton and J. Kaldor 1987, Biometrics 43:671-681 (fit: R 4.2.2, negative-binomial likelihood; MASS `glm.nb` agrees);
 * automobile claims: B. Efron and T. Hastie, Computer Age Statistical Inference, table 6.1 (table from memory, fit in R 4.2.2);
 * fifteen p values: Y. Benjamini and Y. Hochberg 1995, J. R. Stat. Soc. B 57:289-300; p-chart: NIST/SEMATECH e-Handbook, section
 * 6.3.3.2.
 */
import {
  adjustedForNumber,
  countLimits,
  fitSpread,
  rateRatio,
  shareChart,
  shareLimits,
  shrunkRate,
} from '@gearhold/rates';
import { describe, expect, it, test } from 'vitest';
import { readColumn } from './published-data.ts';

test.each([
  [0, 0, 3.688879, 0, 2.995732],
  [1, 0.025318, 5.571643, 0.051293, 4.743865],
  [2, 0.242209, 7.224688, 0.355362, 6.295794],
  [5, 1.623486, 11.668332, 1.97015, 10.513035],
  [10, 4.795389, 18.390356, 5.425406, 16.962219],
  [30, 20.240874, 42.826865, 21.593979, 40.690508],
  [100, 81.363991, 121.626794, 84.139277, 118.079273],
])('Garwood: %d events stand for %d to %d (95 %%), %d to %d (90 %%)', (count, low95, high95, low90, high90) => {
  const wide = countLimits(count);
  const narrow = countLimits(count, 0.9);
  for (const [found, published] of [
    [wide.low, low95],
    [wide.high, high95],
    [narrow.low, low90],
    [narrow.high, high90],
  ] as const) {
    expect(found).toBeCloseTo(published, 6);
  }
});

test('R help: 137 Welsh nickel workers where 24.19893 were expected', () => {
  const { low, high } = countLimits(137);
  expect(low / 24.19893).toBeCloseTo(4.75312480485, 8);
  expect(high / 24.19893).toBeCloseTo(6.69270933418, 8);
});

test.each([
  [0.1, 0.99532],
  [0.5, 0.98561],
  [1, 0.98101],
  [2, 0.98344],
  [5, 0.97957],
  [10, 0.97539],
  [20, 0.95679],
])('holds a mean of %d with probability %d: never below 95 %%', (mean, coverage) => {
  let chance = Math.exp(-mean);
  let held = 0;
  for (let count = 0; count < 200; count++) {
    const { low, high } = countLimits(count);
    if (low <= mean && mean <= high) held += chance;
    chance *= mean / (count + 1);
  }
  expect(held).toBeCloseTo(coverage, 4);
});

test.each([
  [11, 800, 21, 3011, 1.97148809524, 0.858426403392, 4.277265943654],
  [8, 50, 5, 80, 2.56, 0.73842097, 9.94573267],
])('R: %d in %d against %d in %d is a ratio of %d, %d to %d', (a, s, b, t, ratio, low, high) => {
  const found = rateRatio({ count: a, exposure: s }, { count: b, exposure: t });
  expect(found.ratio).toBeCloseTo(ratio, 8);
  expect(found.low).toBeCloseTo(low, 7);
  expect(found.high).toBeCloseTo(high, 6);
});

test('two sides without an event leave everything open', () => {
  expect(rateRatio({ count: 0, exposure: 5 }, { count: 0, exposure: 9 })).toEqual({
    ratio: Number.NaN,
    low: 0,
    high: Number.POSITIVE_INFINITY,
  });
});

test.each([
  [81, 263, 0.252737, 0.367622],
  [15, 148, 0.057844, 0.16165],
  [0, 20, 0, 0.168433],
  [1, 29, 0.000873, 0.177644],
  [50, 50, 0.928878, 1],
  [250, 1000, 0.22343, 0.27805],
])('Clopper-Pearson: %d of %d lies between %d and %d', (count, of, low, high) => {
  const found = shareLimits(count, of);
  expect(found.low).toBeCloseTo(low, 6);
  expect(found.high).toBeCloseTo(high, 6);
});

describe('Scottish lip cancer, 56 counties', () => {
  const observed = readColumn('scottish-lip-cancer.csv', 'O');
  const expected = readColumn('scottish-lip-cancer.csv', 'E');
  const published = readColumn('scottish-lip-cancer.csv', 'eb_gamma_mle');
  const groups = [...observed].map((count, at) => ({ count, exposure: expected[at]! }));
  const spread = fitSpread(groups)!;

  it('has the fitted spread', () => {
    expect(spread.shape).toBeCloseTo(1.87948649, 5);
    expect(spread.rate).toBeCloseTo(1.32166443, 5);
    expect(spread.logLikelihood).toBeCloseTo(-181.576074141, 6);
  });

  it('has the shrunk rate of every county, and the intervals of two', () => {
    groups.forEach((group, at) => {
      expect(shrunkRate(group, spread).rate).toBeCloseTo(published[at]!, 5);
    });
    // The top of a likelihood is flat to half the digits of a double, so that fits agree to five or six.
    const first = shrunkRate(groups[0]!, spread);
    expect([first.low, first.high]).toEqual([expect.closeTo(1.9864867, 4), expect.closeTo(6.69950074, 4)]);
    const none = shrunkRate(groups[54]!, spread);
    expect([none.low, none.high]).toEqual([expect.closeTo(0.03727653, 5), expect.closeTo(0.97091155, 5)]);
  });

  it('puts the second county above the first, which raw rates do not', () => {
    expect(groups[0]!.count / groups[0]!.exposure).toBeGreaterThan(groups[1]!.count / groups[1]!.exposure);
    expect(shrunkRate(groups[0]!, spread).rate).toBeLessThan(shrunkRate(groups[1]!, spread).rate);
  });
});

test('automobile claims: the fitted gamma, and the expected claims by claims made', () => {
  const drivers = [7840, 1317, 239, 42, 14, 4, 4, 1];
  const groups = drivers.flatMap((many, count) => Array.from({ length: many }, () => ({ count, exposure: 1 })));
  const spread = fitSpread(groups)!;
  expect(spread.shape).toBeCloseTo(0.70151137, 5);
  // The book gives the scale, sigma.
  expect(1 / spread.rate).toBeCloseTo(0.30555976, 5);
  expect(spread.logLikelihood).toBeCloseTo(-5348.03995956, 5);
  const estimates = [0.164185, 0.39823, 0.632275, 0.86632, 1.100365, 1.33441, 1.568455];
  estimates.forEach((estimate, count) => {
    expect(shrunkRate({ count, exposure: 1 }, spread).rate).toBeCloseTo(estimate, 5);
  });
});

test('Benjamini and Hochberg: four of fifteen at 5 %', () => {
  const p = [
    0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.324, 0.4262, 0.5719, 0.6528, 0.759, 1,
  ];
  const adjusted = adjustedForNumber(p);
  const published = [
    0.0015, 0.003, 0.0095, 0.035625, 0.0603, 0.063857143, 0.063857143, 0.0645, 0.0765, 0.486, 0.581181818, 0.714875,
    0.753230769, 0.813214286, 1,
  ];
  published.forEach((value, at) => {
    expect(adjusted[at]).toBeCloseTo(value, 8);
  });
  expect(adjusted.filter((value) => value <= 0.05)).toHaveLength(4);
  // The order in which they come means nothing.
  expect(adjustedForNumber([...p].reverse())).toEqual([...adjusted].reverse());
});

test('NIST p-chart of 30 wafers of 50', () => {
  const counts = [
    12, 15, 8, 10, 4, 7, 16, 9, 14, 10, 5, 6, 17, 12, 22, 8, 10, 5, 13, 11, 20, 18, 24, 15, 9, 12, 7, 13, 9, 6,
  ];
  const chart = shareChart(counts.map((count) => ({ count, of: 50 })));
  expect(chart.centre.toFixed(4)).toBe('0.2313');
  expect(chart.points[0]!.high).toBeCloseTo(0.410239119, 8);
  expect(chart.points[0]!.low).toBeCloseTo(0.052427548, 8);
  const out = chart.points.flatMap(({ out: side }, at) => (side === null ? [] : [[at + 1, side]]));
  expect(out).toEqual([
    [15, 'above'],
    [23, 'above'],
  ]);
});
