/**
 * `backing-speed`: lowest and highest speed, km/h, that may have been held for `sustainedSeconds` on the last reverse run. What
 * a gap between samples may hide is unbounded; so is nothing else.
 */
import { approachOf } from './approach.ts';
import { leastHeld, mostHeld, runWindows } from './backing-above-idle.ts';
import { atMost, type Bounds, type Limits, type TrueAnchor, unknownBounds } from './row.ts';
import type { View } from './series.ts';

/** Between two samples the speed of a creeping truck swings by so much, km/h (assumed). */
const swingKph = 0.5;
const mostBlindKph = 6;

export function backingSpeed(view: View, episode: TrueAnchor, limits: Limits['backingSpeed']): Bounds {
  const speed = view.series('speedKph');
  if (speed === null) return unknownBounds;
  const { shortest, longest } = runWindows(view, approachOf(view, episode));
  const low = leastHeld(speed, shortest, limits.sustainedSeconds) - swingKph;
  const most = mostHeld(speed, longest, limits.sustainedSeconds, Number.POSITIVE_INFINITY);
  const high = Math.max(most, view.known.blindSpeedKph ?? mostBlindKph);
  return atMost(limits.maxKph, Math.max(0, low), Number.isFinite(high) ? high : null);
}
