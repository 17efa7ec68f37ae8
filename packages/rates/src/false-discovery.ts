/**
 * Many comparisons at once: of those that are called different, no more than a stated share is expected to be so by chance.
 *
 * Source: Y. Benjamini and Y. Hochberg 1995, J. R. Stat. Soc. B 57:289-300.
 */

/** p values adjusted for their number, in the order given: those at most q may be called different at that rate. */
export function adjustedForNumber(pValues: readonly number[]): number[] {
  const order = pValues.map((_, index) => index).sort((a, b) => pValues[b]! - pValues[a]!);
  const adjusted = new Array<number>(pValues.length);
  let least = 1;
  order.forEach((index, place) => {
    const rank = pValues.length - place;
    least = Math.min(least, (pValues[index]! * pValues.length) / rank);
    adjusted[index] = least;
  });
  return adjusted;
}
