/**
 * Silences over which nothing may be concluded. A clock that jumps leaves one in event time, and so does a source that was
 * away for long: what lies before and after it are two inputs, and no episode reaches across.
 *
 * A truck that is parked is silent too. A silence between two rows that both show standing with the parking brake applied
 * or the ignition off, at the same position, is standing (contract), and ends nothing, unless it is longer than any truck
 * is believed to be parked between two of its rows. Times in ms.
 */
import { type SignalName, signalIndex } from '@gearhold/signals';
import type { Track } from '../evidence.ts';
import type { History } from '../track/history.ts';

/** A silence with the truck moving at either end, longer than this, hides where it was and what it did (house policy). */
const movingMs = 3_600_000;
/** Without proof of parking a silence ends what is open as the contract closes an episode: after 12 h. */
const unprovenMs = 12 * 3_600_000;
/** No proof of parking holds for longer: weeks are a holiday, months with two clocks that agree are rare (house policy). */
const parkedMs = 35 * 86_400_000;
/** The same place, m (contract), and metres of one degree of latitude, near enough. */
const samePlaceMetres = 10;
const metresPerDegree = 111_195;

/** Whether what came before a row has nothing to do with it: `track` holds the rows before, `values` the row's signals. */
export function breaksBefore(track: History, timeMs: number, values: Float64Array, offset: number): boolean {
  if (track.length === 0) return false;
  const silentMs = timeMs - track.timeAt(track.length - 1);
  return silentMs > movingMs && !holdsOver(track, silentMs, (signal) => values[offset + signalIndex[signal]]);
}

function holdsOver(track: Track, silentMs: number, after: (signal: SignalName) => number): boolean {
  const before = (signal: SignalName) => lastOf(track, signal);
  if (before('speedKph') > 0 || after('speedKph') > 0) return false;
  if (silentMs <= unprovenMs) return true;
  if (silentMs > parkedMs) return false;
  const parked = (value: typeof after) => value('parkingBrake') === 1 || value('ignition') === 0;
  return parked(before) && parked(after) && isSamePlace(before, after);
}

/** Where a position is reported at both ends. */
function isSamePlace(before: (signal: SignalName) => number, after: (signal: SignalName) => number): boolean {
  const north = (after('latitude') - before('latitude')) * metresPerDegree;
  const degreesEast = Math.abs(after('longitude') - before('longitude'));
  const scale = metresPerDegree * Math.cos((before('latitude') * Math.PI) / 180);
  const east = Math.min(degreesEast, 360 - degreesEast) * scale;
  return !(Math.hypot(north, east) > samePlaceMetres);
}

/** What was last reported of a signal; NaN where nothing was. */
function lastOf(track: Track, signal: SignalName): number {
  return track.column(signal)?.findLast((value) => !Number.isNaN(value)) ?? Number.NaN;
}
