/**
 * The Wilson interval against the printed one.
 *
 * Source: R. G. Newcombe, 'Two-sided confidence intervals for the single proportion:
 * comparison of seven methods', Statistics in Medicine 17 (1998), 857 to 872, table I, method 3 (score, without continuity
 * correction). The printed values are given from memory.
 */
import { proportion } from '@gearhold/rates';
import { expect, it } from 'vitest';

it.each([
  [81, 263, 0.2553, 0.3662],
  [15, 148, 0.0624, 0.1605],
  [0, 20, 0, 0.1611],
  [1, 29, 0.0061, 0.1718],
])('%i of %i lies between %f and %f', (successes, trials, low, high) => {
  const found = proportion(successes, trials);
  expect(Number(found.low.toFixed(4))).toBe(low);
  expect(Number(found.high.toFixed(4))).toBe(high);
});
