/**
 * A share with how sure it is: the Wilson score interval of a binomial proportion (E. B. Wilson, Journal of the American
 * Statistical Association 22, 1927, 209 to 212). It never leaves 0 to 1, and says something sensible where none or all of a
 * few were found. It takes the trials as independent: those of one truck or one yard are less so than they look.
 */

export interface Proportion {
  readonly successes: number;
  readonly trials: number;
  /** successes / trials; NaN without a trial. */
  readonly value: number;
  /** Ends of the 95 % interval; 0 and 1 without a trial. */
  readonly low: number;
  readonly high: number;
}

/** The 97.5 % point of the standard normal distribution: two-sided 95 % (tabulated; here to double precision, from memory). */
const z = 1.959963984540054;

/**
 * The share of trials that were successes, with its 95 % Wilson interval.
 *
 * @throws RangeError where the counts are no whole numbers with 0 <= successes <= trials
 */
export function proportion(successes: number, trials: number): Proportion {
  if (!Number.isInteger(successes) || !Number.isInteger(trials) || successes < 0 || successes > trials) {
    throw new RangeError(
      `${successes} of ${trials} is no proportion: expected whole numbers, 0 <= successes <= trials`,
    );
  }
  if (trials === 0) return { successes, trials, value: Number.NaN, low: 0, high: 1 };
  const value = successes / trials;
  const shrink = 1 + (z * z) / trials;
  const centre = (value + (z * z) / (2 * trials)) / shrink;
  const half = (z * Math.sqrt((value * (1 - value)) / trials + (z * z) / (4 * trials * trials))) / shrink;
  // Rounding must not leave a hair between nothing found and 0, or all found and 1.
  const low = successes === 0 ? 0 : Math.max(0, centre - half);
  const high = successes === trials ? 1 : Math.min(1, centre + half);
  return { successes, trials, value, low, high };
}
