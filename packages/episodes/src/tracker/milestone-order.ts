/**
 * The best figures of milestones, put in the order in which the steps must have happened. Each milestone is placed by its own
 * evidence, so that two whose bounds overlap may come out the wrong way round; they then meet within what both bounds allow.
 * Bounds are never touched: they carry the proofs.
 */
import { type Interval, interval } from '../bounds/interval.ts';

/** Two milestones, the earlier first. */
export type Pair<T> = readonly [keyof T, keyof T];

/**
 * @param pairs in the order of the steps: no pair's later milestone is the earlier one of a pair before it
 */
export function inOrder<T extends object>(milestones: T, pairs: readonly Pair<T>[]): T {
  const placed = { ...milestones } as Record<keyof T, unknown>;
  const meet = ([first, second]: Pair<T>, which: 'later' | 'earlier') => {
    const earlier = placed[first] as Interval | null;
    const later = placed[second] as Interval | null;
    if (earlier === null || later === null || earlier.best <= later.best || earlier.low > later.high) return;
    if (which === 'later') placed[second] = interval(later.low, later.high, earlier.best);
    else placed[first] = interval(earlier.low, earlier.high, later.best);
  };
  for (const pair of pairs) meet(pair, 'later');
  for (const pair of pairs.toReversed()) meet(pair, 'earlier');
  return placed as T;
}
