/**
 * How sure a share is: so many of so many, with the interval in which the true share lies. Wilson's score interval, which
 * keeps its promise for few trials and for shares at or near 0 and 1, where the textbook interval does not.
 *
 * Source: E. B. Wilson 1927, J. Am. Stat. Assoc. 22:209-212; R. G. Newcombe 1998, Statist. Med. 17:857-872, method 3.
 */

export interface Proportion {
  readonly of: number;
  readonly count: number;
  /** count / of, 0 to 1. */
  readonly share: number;
  /** Bounds of the true share at 95 %, 0 to 1. */
  readonly low: number;
  readonly high: number;
}

/** The 0.975 quantile of the standard normal distribution. */
const z = 1.959963984540054;

/**
 * The share `count` of `of` with Wilson's 95 % interval, without continuity correction; null of nothing.
 *
 * @throws RangeError where they are no whole numbers with 0 <= count <= of
 */
export function wilson(count: number, of: number): Proportion | null {
  if (!Number.isSafeInteger(count) || !Number.isSafeInteger(of) || count < 0 || count > of) {
    throw new RangeError(`wilson: expected whole numbers with 0 <= count <= of, found ${count} of ${of}`);
  }
  if (of === 0) return null;
  const share = count / of;
  const centre = share + z ** 2 / (2 * of);
  const reach = z * Math.sqrt((share * (1 - share)) / of + z ** 2 / (4 * of ** 2));
  const scale = 1 + z ** 2 / of;
  // At the ends the sums cancel but for the last bits.
  const low = count === 0 ? 0 : (centre - reach) / scale;
  const high = count === of ? 1 : (centre + reach) / scale;
  return { of, count, share, low, high };
}
