/**
 * Wilson's interval for a proportion.
 *
 * Sources: R. G. Newcombe 1998, Statist. Med. 17:857-872, table I, method 3 (to the four digits printed there); more digits
 * and the other pairs: R 4.2.2 (`prop.test(correct = FALSE)`). Coverage of the interval at seven points, as enumerated in R
 * 4.2.2; the points are those at which L. D. Brown, T. T. Cai and A. DasGupta 2001, Statist. Sci. 16:101-133, show how the
 * textbook interval fails (the choice of points from memory).
 */
import { wilson } from '@gearhold/rates';
import { expect, test } from 'vitest';

test.each([
  [81, 263, 0.2553, 0.3662],
  [15, 148, 0.0624, 0.1605],
  [0, 20, 0, 0.1611],
  [1, 29, 0.0061, 0.1718],
])('Newcombe, table I: %d of %d lies between %d and %d', (count, of, low, high) => {
  const found = wilson(count, of)!;
  expect(found.low.toFixed(4)).toBe(low.toFixed(4));
  expect(found.high.toFixed(4)).toBe(high.toFixed(4));
});

test.each([
  [81, 263, 0.255289, 0.36621],
  [15, 148, 0.062386, 0.160487],
  [0, 1, 0, 0.793451],
  [1, 10, 0.017876, 0.40415],
  [3, 50, 0.020615, 0.162171],
  [2, 400, 0.001372, 0.018045],
  [50, 50, 0.928652, 1],
  [250, 1000, 0.224153, 0.27776],
])('R: %d of %d lies between %d and %d', (count, of, low, high) => {
  const found = wilson(count, of)!;
  expect(found.low).toBeCloseTo(low, 6);
  expect(found.high).toBeCloseTo(high, 6);
});

test.each([
  [0.2, 30, 0.9639],
  [0.2, 98, 0.9576],
  [0.5, 17, 0.951],
  [0.5, 18, 0.9691],
  [0.5, 40, 0.9615],
  [0.005, 591, 0.9691],
  [0.005, 592, 0.9688],
])('holds a true share of %d in %d trials with probability %d', (share, trials, coverage) => {
  let chance = (1 - share) ** trials;
  let held = 0;
  for (let count = 0; count <= trials; count++) {
    const { low, high } = wilson(count, trials)!;
    if (low <= share && share <= high) held += chance;
    chance *= ((trials - count) / (count + 1)) * (share / (1 - share));
  }
  expect(held.toFixed(4)).toBe(coverage.toFixed(4));
});
