/**
 * What stands at each row: the last reported value of a signal, for as long as the contract lets it stand. A periodic
 * value stands for 3 of its usual intervals (at least 3 s), a change-only value as long as the vehicle's rows come no more
 * than 90 s apart. NaN where nothing stands.
 */

import type { SignalName } from '@gearhold/signals';
import { changeOnlySilenceMs, standsForMs } from '../cadence/cadence.ts';
import type { Cadence, Track } from '../evidence.ts';

/** Values of one signal carried forward, one a row; null where the signal was never reported in these rows. */
export function standingValues(track: Track, signal: SignalName, cadence: Cadence): Float64Array | null {
  const raw = track.column(signal);
  if (raw === null) return null;
  const times = track.timesMs;
  const out = new Float64Array(track.length);
  const standsMs = cadence.mode === 'change-only' ? Number.POSITIVE_INFINITY : standsForMs(cadence);
  let value = Number.NaN;
  let since = Number.NaN;
  for (let row = 0; row < track.length; row++) {
    const time = times[row];
    if (row > 0 && cadence.mode === 'change-only' && time - times[row - 1] > changeOnlySilenceMs) value = Number.NaN;
    const reported = raw[row];
    if (!Number.isNaN(reported)) {
      value = reported;
      since = time;
    } else if (time - since > standsMs) value = Number.NaN;
    out[row] = value;
  }
  return out;
}
