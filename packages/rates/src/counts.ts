/**
 * How sure a count is: events over an exposure, with the exact interval in which the true rate lies, and two of them compared.
 *
 * Sources: F. Garwood 1936, Biometrika 28:437-442 for one count; the ratio of two is the odds of a binomial share given their
 * sum, with the exact limits of C. J. Clopper and E. S. Pearson 1934, Biometrika 26:404-413.
 */
import betaQuantile from '@stdlib/stats-base-dists-beta-quantile';
import gammaQuantile from '@stdlib/stats-base-dists-gamma-quantile';

export interface Bounds {
  readonly low: number;
  readonly high: number;
}

/** Limits of the expected number of events behind `count`; never covering less than `confidence`. */
export function countLimits(count: number, confidence = 0.95): Bounds {
  whole('countLimits', count);
  const tail = (1 - confidence) / 2;
  return {
    low: count === 0 ? 0 : gammaQuantile(tail, count, 1),
    high: gammaQuantile(1 - tail, count + 1, 1),
  };
}

/** One side of a comparison: events and what they were out of, in any unit that both sides share. */
export interface Exposed {
  readonly count: number;
  readonly exposure: number;
}

export interface RateRatio extends Bounds {
  /** Rate of the first over that of the second; Infinity where the second had no event, NaN where neither had. */
  readonly ratio: number;
  /** Unbounded above where the second side had no event. */
  readonly high: number;
}

/** The first rate over the second with its exact interval. `high` is Infinity, `low` 0 where the counts leave them open. */
export function rateRatio(first: Exposed, second: Exposed, confidence = 0.95): RateRatio {
  for (const { count, exposure } of [first, second]) {
    whole('rateRatio', count);
    if (!(exposure > 0)) throw new RangeError(`rateRatio: expected an exposure above 0, found ${exposure}`);
  }
  const scale = second.exposure / first.exposure;
  const share = shareLimits(first.count, first.count + second.count, confidence);
  const odds = (p: number) => (p >= 1 ? Number.POSITIVE_INFINITY : (p / (1 - p)) * scale);
  return { ratio: (first.count / second.count) * scale, low: odds(share.low), high: odds(share.high) };
}

/** Clopper and Pearson's exact limits of a share; all of 0 to 1 of nothing. */
export function shareLimits(count: number, of: number, confidence = 0.95): Bounds {
  whole('shareLimits', count);
  const tail = (1 - confidence) / 2;
  return {
    low: count === 0 ? 0 : betaQuantile(tail, count, of - count + 1),
    high: count === of ? 1 : betaQuantile(1 - tail, count + 1, of - count),
  };
}

function whole(name: string, count: number): void {
  if (!Number.isSafeInteger(count) || count < 0) {
    throw new RangeError(`${name}: expected a whole number of 0 or more, found ${count}`);
  }
}
