/**
 * Median, MAD, quantiles and running median.
 *
 * Sources: NIST/SEMATECH e-Handbook section 7.2.6.2 (wafer resistivities; the handbook prints type 6, the type 7 value is
 * R 4.2.2's) and section 1.3.5.17.1 (uranium); MASS::chem (copper in flour, AMC 1989); NIST StRD data. Medians, MADs and
 * running medians: R 4.2.2 (`median`, `mad`, `quantile`, `runmed` with end rule "median").
 */
import { expect, test } from 'vitest';
import { mad, madToSigma, median, quantile, runningMedian } from '../../packages/episodes/src/statistics/robust.ts';
import { readColumn, readStrd } from './published-data.ts';

const chem = [
  2.9, 3.1, 3.4, 3.4, 3.7, 3.7, 2.8, 2.5, 2.4, 2.4, 2.7, 2.2, 5.28, 3.37, 3.03, 3.03, 28.95, 3.77, 3.4, 2.2, 3.5, 3.6,
  3.7, 3.7,
];
const uranium = [199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57];
const wafers = [
  95.1772, 95.1567, 95.1937, 95.1959, 95.1442, 95.061, 95.1591, 95.1195, 95.1065, 95.0925, 95.199, 95.1682,
];

test('copper in flour: an outlier of 28.95 leaves median 3.385 and MAD 0.526323', () => {
  expect(median(chem)).toBeCloseTo(3.385, 12);
  expect(mad(chem)).toBeCloseTo(0.526323, 9);
});

test('the Nile has median 893.5 and MAD 179.3946', () => {
  const flow = readColumn('nile.csv', 'flow');
  expect(median(flow)).toBe(893.5);
  expect(mad(flow)).toBeCloseTo(179.3946, 9);
});

test.each([
  ['Lew', -162, 270.5],
  ['Lottery', 522.5, 254],
])('%s: median %d, raw MAD %d', (name, middle, deviation) => {
  expect(median(readStrd(name))).toBe(middle);
  expect(mad(readStrd(name)) / madToSigma).toBeCloseTo(deviation, 9);
});

test.each([
  ['Mavro', 2.0018],
  ['Michelso', 299.85],
])('%s: median %d', (name, middle) => {
  expect(median(readStrd(name))).toBeCloseTo(middle, 9);
});

test('uranium: the modified z-score of the outlier is 29.96', () => {
  // 0.6745 is the rounded 1 / 1.4826 of the published formula.
  const rawMad = mad(uranium) / madToSigma;
  expect((0.6745 * (245.57 - median(uranium))) / rawMad).toBeCloseTo(29.96, 2);
});

test('wafers: the 90th percentile by type 7 is 95.1957', () => {
  expect(quantile(wafers, 0.9)).toBeCloseTo(95.1957, 4);
});

test('type 7 of 2 4 4 5 7 9 11 12 15 30', () => {
  const shares = [0.05, 0.25, 0.5, 0.9, 0.95];
  const found = shares.map((share) => quantile([2, 4, 4, 5, 7, 9, 11, 12, 15, 30], share));
  for (const [i, wanted] of [2.9, 4.25, 8, 16.5, 23.25].entries()) expect(found[i]).toBeCloseTo(wanted, 12);
});

test('running median of 3 with the end rule of Tukey', () => {
  const samples = [1.2, 0.7, 1.9, 1.1, 5.3, 4.8, 5.9, 2.1, 2.6, 1.8, 8.4, 7.7, 9.1, 8.8];
  const smooth = [1.2, 1.2, 1.1, 1.9, 4.8, 5.3, 4.8, 2.6, 2.1, 2.6, 7.7, 8.4, 8.8, 8.8];
  expect([...runningMedian(Float64Array.from(samples), 3)]).toEqual(smooth);
});
