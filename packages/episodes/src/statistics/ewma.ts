/**
 * Exponentially weighted moving average, and its control limits around a target. It follows a level slowly and forgets the
 * past at a rate of `weight` a sample; small lasting shifts show in it before they show in single samples.
 *
 *     next = weight * x + (1 - weight) * previous
 *
 * Everything is in the unit of the samples. Source: NIST/SEMATECH e-Handbook of Statistical Methods, section 6.3.2.4.
 */

/** One step: what the average becomes with one more sample (not NaN). `weight` above 0, at most 1 (1 forgets at once). */
export function stepEwma(weight: number, previous: number, sample: number): number {
  return previous + weight * (sample - previous);
}

/**
 * Limits within which the average of independent samples about `target` stays once it has run in: `width` (usually 3)
 * standard deviations of the average to each side. `sigma` is the standard deviation of one sample.
 */
export function ewmaLimits(
  weight: number,
  target: number,
  sigma: number,
  width: number,
): { low: number; high: number } {
  if (!(weight > 0 && weight <= 1)) throw new RangeError(`ewma: weight ${weight} is not above 0 and at most 1`);
  const reach = width * sigma * Math.sqrt(weight / (2 - weight));
  return { low: target - reach, high: target + reach };
}
