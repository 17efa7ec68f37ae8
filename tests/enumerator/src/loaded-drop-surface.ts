/**
 * `loaded-drop-surface`: 1 where a loaded trailer was left on ground that the sites file says bears it, 0 where it says that
 * it does not. Not asked of a trailer that was not loaded.
 *
 * That the trailer was loaded is proven only against a full level that the vehicles file states: nobody knows whether the
 * heaviest load seen so far was a full one. On ground that bears it nobody need know.
 */
import { errorOf, loadOf, mean } from './load.ts';
import { atLeast, type Bounds, type Ground, type TrueAnchor, unknownBounds } from './row.ts';
import { quantile, samplesIn, type View } from './series.ts';

/** A receiver is off by up to 10 m, and sits up to 10 m from the trailer's legs: common practice. */
const marginMetres = 20;
/** Share of a full kingpin load above which a trailer is loaded (contract). */
const loadedShare = 0.7;
/** What a stated level and the tractor's own may be off by, as a share of the full load. */
const statedShare = 0.05;
/** A lift axle shifts at most this share of the tractor's load; common practice. */
const liftShare = 0.35;
const levelMs = 30_000;
const placeMs = 60_000;
const fewest = 3;
const metresPerDegree = 111_195;

export function loadedDropSurface(view: View, episode: TrueAnchor): Bounds {
  if (episode.trailerLoad !== undefined && episode.trailerLoad !== 'loaded')
    return { ...unknownBounds, outcome: 'not-applicable' };
  const ground = groundAt(view, episode.loadTransferTime);
  if (ground === null) return atLeast(1, 0, 1);
  if (ground.bears) return atLeast(1, 1, 1);
  return surelyLoaded(view, episode) ? atLeast(1, 0, 0) : atLeast(1, 0, 1);
}

/** The ground under the trailer, or null where positions do not show it. */
function groundAt(view: View, timeMs: number): Ground | null {
  const median = (signal: 'latitude' | 'longitude'): number | null => {
    const near = samplesIn(view.series(signal), timeMs - placeMs, timeMs + placeMs).map((s) => s.value);
    return near.length === 0 ? null : quantile(near, 0.5);
  };
  const [latitude, longitude] = [median('latitude'), median('longitude')];
  if (latitude === null || longitude === null) return null;
  const within = (site: Ground): boolean => {
    const north = (latitude - site.latitude) * metresPerDegree;
    const east = (longitude - site.longitude) * metresPerDegree * Math.cos((site.latitude * Math.PI) / 180);
    return Math.hypot(north, east) <= site.radiusM - marginMetres;
  };
  return view.known.sites?.find(within) ?? null;
}

function surelyLoaded(view: View, episode: TrueAnchor): boolean {
  const { full, bobtail, liftAxle } = view.known;
  const load = loadOf(view, episode);
  if (load === null || full === undefined || bobtail === undefined || full <= bobtail) return false;
  const before = samplesIn(load.series, episode.startTime - levelMs, episode.startTime);
  if (before.length < fewest) return false;
  const least = (mean(before) - errorOf(load, before)) / (liftAxle === false ? 1 : 1 + liftShare);
  return (least - bobtail) / (full - bobtail) - statedShare > loadedShare;
}
