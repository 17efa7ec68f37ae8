/**
 * Optimal groups of numbers on a line (one-dimensional k-means) by simple-statistics' `ckmeans`, the engine that is at
 * hand for a truck's levels.
 *
 * Sources: Wang and Song 2011, R Journal 3(2):29-33, the inputs of their package's tests; centres and sums recomputed by
 * dynamic programme in R 4.2.2; R `datasets::faithful`.
 */
import { ckmeans } from 'simple-statistics';
import { expect, test } from 'vitest';
import { readColumn } from './published-data.ts';

function centreOf(group: readonly number[]): number {
  return group.reduce((sum, value) => sum + value, 0) / group.length;
}

function withinSquares(group: readonly number[]): number {
  const centre = centreOf(group);
  return group.reduce((sum, value) => sum + (value - centre) ** 2, 0);
}

const cosines = Array.from({ length: 21 }, (_, i) => Math.cos(i - 10));
// Density of the gamma distribution with shape 2 and rate 1.
const densities = Array.from({ length: 19 }, (_, i) => (1 + i / 2) * Math.exp(-1 - i / 2));

test.each([
  [
    [-1, 2, -1, 2, 4, 5, 6, -1, 2, -1],
    [4, 3, 3],
    [-1, 2, 5],
    [0, 0, 2],
  ],
  [
    [3, 3, 3, 3, 1, 1, 1, 2, 2, 2],
    [3, 3, 4],
    [1, 2, 3],
    [0, 0, 0],
  ],
  [cosines, [12, 9], [-0.6592474631, 0.6751193405], [1.05647931, 0.6232976959]],
  [
    densities,
    [13, 3, 3],
    [0.01702193495, 0.15342151455, 0.32441508262],
    [0.006126754998, 0.004977009034, 0.00488330512],
  ],
  [
    [0.9, 1, 1.1, 1.9, 2, 2.1],
    [3, 3],
    [1, 2],
    [0.02, 0.02],
  ],
  [
    [1, 2, 3, 10, 11, 12, 50],
    [3, 3, 1],
    [2, 11, 50],
    [2, 2, 0],
  ],
])('%j', (values, sizes, centres, squares) => {
  const groups = ckmeans(values, sizes.length);
  expect(groups.map((group) => group.length)).toEqual(sizes);
  for (const [i, group] of groups.entries()) {
    expect(centreOf(group)).toBeCloseTo(centres[i] ?? Number.NaN, 9);
    expect(withinSquares(group)).toBeCloseTo(squares[i] ?? Number.NaN, 9);
  }
});

test.each([
  ['eruptions', [98, 174], 35.748111769763],
  ['eruptions', [97, 69, 106], 16.499824860138],
  ['eruptions', [94, 24, 76, 78], 11.073976959313],
  ['waiting', [100, 172], 8855.7906976745],
  ['waiting', [94, 86, 92], 5133.0720101973],
])('Old Faithful, %s: groups of %j', (column, sizes, total) => {
  const groups = ckmeans([...readColumn('faithful.csv', column)], sizes.length);
  expect(groups.map((group) => group.length)).toEqual(sizes);
  expect(groups.reduce((sum, group) => sum + withinSquares(group), 0)).toBeCloseTo(total, 8);
});
