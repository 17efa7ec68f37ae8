/**
 * `approach-stop`: shortest and longest of the longest standstill, s, within so many metres short of the trailer. The
 * trailer is reached when the load begins to come on, or when the kingpin is home where the load comes later.
 */
import { approachOf } from './approach.ts';
import { metresApart } from './motion.ts';
import { atLeast, type Bounds, type Limits, type TrueAnchor, unknownBounds } from './row.ts';
import type { View } from './series.ts';
import { leastMetres, mostMetres, seconds, stands } from './stands.ts';

/** From the first touch of load to the kingpin's seat at most, m. */
const plateMetres = 2.5;
/** Positions scatter by so much. */
const placeMetres = 10;
/** What the sum over many cells may be off by. */
const roundingMetres = 1e-6;

export function approachStop(view: View, episode: TrueAnchor, limits: Limits['approachStop']): Bounds {
  if (view.series('speedKph') === null) return unknownBounds;
  const approach = approachOf(view, episode);
  const reachedLow = Math.min(approach.contactLowMs, approach.homeLowMs);
  const reachedHigh = Math.min(approach.contactHighMs, approach.homeHighMs);
  const unknownContact = approach.load === null ? plateMetres : 0;

  let low = 0;
  for (const stand of stands(approach.proven, 'fastest')) {
    if (stand.toMs > reachedLow) break;
    const metres = mostMetres(approach.proven, stand.toMs, reachedHigh);
    if (metres <= limits.withinMetres + roundingMetres) low = Math.max(low, seconds(stand));
  }
  let high = 0;
  for (const stand of stands(approach.possible, 'slowest')) {
    if (stand.fromMs >= reachedHigh) break;
    const toMs = Math.min(stand.toMs, reachedHigh);
    const apart = (metresApart(view, toMs, reachedHigh) ?? 0) - placeMetres;
    const metres = Math.max(apart, leastMetres(approach.possible, toMs, reachedLow, 'reverse') - unknownContact);
    if (metres <= limits.withinMetres + roundingMetres) high = Math.max(high, (toMs - stand.fromMs) / 1000);
  }
  return atLeast(limits.minSeconds, low, Math.max(low, high));
}
