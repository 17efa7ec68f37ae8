/** When to try a delivery again: soon at first, then ever more seldom, for about three days; then a person must ask for it. */

const minute = 60_000;
const waits = [
  5_000,
  30_000,
  2 * minute,
  10 * minute,
  30 * minute,
  60 * minute,
  3 * 60 * minute,
  6 * 60 * minute,
  12 * 60 * minute,
  24 * 60 * minute,
  24 * 60 * minute,
] as const;

/**
 * Wait before the next try after so many that failed, ms; null where it is given up.
 *
 * @param chance 0 to 1: spreads the tries of many deliveries by up to a fifth
 */
export function waitAfter(failed: number, chance: number): number | null {
  const wait = waits[failed - 1];
  return wait === undefined ? null : Math.round(wait * (1 + chance / 5));
}
