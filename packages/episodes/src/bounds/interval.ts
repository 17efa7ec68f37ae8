/**
 * Instants and durations as intervals. A milestone is never a point: it lies between the last sample that shows *before*
 * and the first that shows *after*. `low` and `high` are the ends of that interval, `best` the single figure that is
 * printed; `low <= best <= high` always holds. Times are ms since the epoch, durations in s.
 */

export interface Interval {
  readonly low: number;
  readonly high: number;
  readonly best: number;
}

/** An interval from its ends; `best` defaults to the middle and is kept within them. */
export function interval(low: number, high: number, best = (low + high) / 2): Interval {
  if (!(low <= high)) throw new RangeError(`interval: low ${low} is above high ${high}`);
  return { low, high, best: Math.min(high, Math.max(low, best)) };
}

/** A value known exactly. */
export function exactly(value: number): Interval {
  return { low: value, high: value, best: value };
}

/** What lies between two uncertain instants, in s, never negative: shortest, longest and best. */
export function secondsBetween(from: Interval, to: Interval): Interval {
  const low = Math.max(0, (to.low - from.high) / 1000);
  const high = Math.max(0, (to.high - from.low) / 1000);
  return interval(low, high, Math.max(0, (to.best - from.best) / 1000));
}

/** Sum of two uncertain quantities. */
export function plus(a: Interval, b: Interval): Interval {
  return { low: a.low + b.low, high: a.high + b.high, best: a.best + b.best };
}

/** The larger of two uncertain quantities, whichever it is. */
export function larger(a: Interval, b: Interval): Interval {
  return { low: Math.max(a.low, b.low), high: Math.max(a.high, b.high), best: Math.max(a.best, b.best) };
}
