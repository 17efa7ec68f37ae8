/**
 * CUSUM and EWMA against worked examples in print.
 *
 * Sources: NIST/SEMATECH e-Handbook of Statistical Methods, sections 6.3.2.3 (CUSUM) and 6.3.2.4 (EWMA); Montgomery and
 * Runger, Applied Statistics and Probability for Engineers, table 16-8, p. 636; Lucas and Crosier 1982, table 5, as
 * reprinted in Six Sigma: Advanced Tools for Black Belts, table 24.1, p. 376. Unrounded columns: R 4.2.2.
 */
import { describe, expect, test } from 'vitest';
import { traceCusum } from '../../packages/episodes/src/statistics/cusum.ts';
import { ewmaLimits, stepEwma } from '../../packages/episodes/src/statistics/ewma.ts';
import { readColumn } from './published-data.ts';

function expectAllClose(found: ArrayLike<number>, wanted: ArrayLike<number>, tolerance: number): void {
  expect(found.length).toBe(wanted.length);
  for (let i = 0; i < wanted.length; i += 1) {
    expect(Math.abs((found[i] ?? Number.NaN) - (wanted[i] ?? Number.NaN)), `at ${i}`).toBeLessThanOrEqual(tolerance);
  }
}

describe('NIST 6.3.2.3: a CUSUM that signals', () => {
  const samples = readColumn('nist-cusum-6323.csv', 'x');
  const trace = traceCusum({ target: 325, allowance: 0.3175, limit: 4.1959 }, samples);

  test('the sums equal the unrounded columns', () => {
    expectAllClose(trace.high, readColumn('nist-cusum-6323.csv', 'Shi'), 1e-12);
    expectAllClose(trace.low, readColumn('nist-cusum-6323.csv', 'Slo'), 1e-12);
  });

  test('the sums round to the printed columns', () => {
    const high = [0, 0, 0, 0, 0.03, 0, 0, 0, 0, 0, 0, 0, 3.01, 4.94, 7.45, 10.63, 11.99, 14.44, 16, 19.04];
    const low = [0, 0.01, 0, 0.33, 0, 0, 0.56, 0.72, 0.17, 0.25, 0.31, 0, 0, 0, 0, 0, 0, 0, 0, 0];
    expectAllClose(trace.high, high, 0.005 + 1e-9);
    expectAllClose(trace.low, low, 0.005 + 1e-9);
  });

  test('the first signal is observation 14, upwards, and every later one signals too', () => {
    expect(trace.signals.map((i) => i + 1)).toEqual([14, 15, 16, 17, 18, 19, 20]);
    expect(Math.max(...trace.low)).toBeLessThan(4.1959);
  });
});

test('Montgomery and Runger, table 16-8: a CUSUM in control does not signal', () => {
  const file = 'montgomery-cusum-table-16-8.csv';
  const trace = traceCusum({ target: 99, allowance: 1, limit: 10 }, readColumn(file, 'V2'));
  expectAllClose(trace.high, [2, 0, 0, 0, 2, 0.5, 0, 0, 0, 0, 1.3, 0, 1.1, 0, 0, 0, 0.3, 1.7, 0, 1], 1e-9);
  expectAllClose(trace.low, [0, 3.2, 2.9, 2.5, 0, 0, 0, 0.3, 0, 0, 0, 0, 0, 0, 1, 2.3, 0, 0, 0.8, 0], 1e-9);
  expect(trace.signals).toEqual([]);
});

describe('Lucas and Crosier, table 5: the fast initial response', () => {
  const samples = [0.8, 1.9, 1.4, 2.0, 1.1, 0.7, 2.6];
  const design = { target: 0, allowance: 0.5, limit: 5 };

  test('without a head start the seventh observation signals', () => {
    const trace = traceCusum(design, samples);
    expectAllClose(trace.high, [0.3, 1.7, 2.6, 4.1, 4.7, 4.9, 7.0], 1e-9);
    expect(trace.signals[0]).toBe(6);
  });

  test('with a head start of half the limit the third one does', () => {
    const trace = traceCusum({ ...design, headStart: 2.5 }, samples);
    expectAllClose(trace.high, [2.8, 4.2, 5.1, 6.6, 7.2, 7.4, 9.5], 1e-9);
    expect(trace.signals[0]).toBe(2);
  });
});

describe('NIST 6.3.2.4: an EWMA in control', () => {
  const averages: number[] = [];
  for (const sample of readColumn('nist-ewma-6324.csv', 'x')) {
    averages.push(stepEwma(0.3, averages.at(-1) ?? 50, sample));
  }

  test('the averages equal the printed ones and the four decimals of R', () => {
    const printed = [
      50.6, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33, 50.11, 49.36, 49.52, 50.05, 49.38, 49.92,
      50.73, 51.23, 51.94, 51.99,
    ];
    const four = [
      50.6, 49.52, 50.564, 50.1848, 50.1594, 49.2116, 49.7481, 49.8537, 50.2576, 50.3303, 50.1112, 49.3578, 49.5205,
      50.0543, 49.378, 49.9246, 50.7272, 51.2291, 51.9403, 51.9882,
    ];
    expectAllClose(averages, printed, 0.005 + 1e-9);
    expectAllClose(averages, four, 0.00005 + 1e-9);
  });

  test('the limits are the printed ones, and no average leaves them', () => {
    const { low, high } = ewmaLimits(0.3, 50, 2.0539, 3);
    expect(Math.abs(high - 52.5884)).toBeLessThan(1e-4);
    expect(Math.abs(low - 47.4115)).toBeLessThan(1e-4);
    expect(Math.max(...averages)).toBeLessThan(high);
    expect(Math.min(...averages)).toBeGreaterThan(low);
  });
});
