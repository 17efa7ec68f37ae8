/**
 * `lamps-while-backing`: 1 where no lamp that is asked for can have been dark for `offSeconds` on the last reverse run, 0 where
 * the samples of one show that it was, 0 to 1 where they allow both. A lamp that is not reported is left to the others.
 */
import { approachOf } from './approach.ts';
import { leastHeld, mostHeld, runWindows } from './backing-above-idle.ts';
import { atLeast, type Bounds, type Limits, type TrueAnchor, unknownBounds } from './row.ts';
import type { Series, View } from './series.ts';

export function lampsWhileBacking(view: View, episode: TrueAnchor, limits: Limits['lampsWhileBacking']): Bounds {
  const lamps = (['hazardLamps', 'headlamps'] as const)
    .map((name) => view.series(name))
    .filter((lamp) => lamp !== null);
  if (lamps.length === 0) return unknownBounds;
  const { shortest, longest } = runWindows(view, approachOf(view, episode));
  const dark = lamps.map(darkness);
  const sure = dark.some((lamp) => leastHeld(lamp, shortest, limits.offSeconds) === 1);
  const possible = dark.some((lamp) => mostHeld(lamp, longest, limits.offSeconds, 1) === 1);
  return atLeast(1, possible ? 0 : 1, sure ? 0 : 1);
}

function darkness(lamp: Series): Series {
  return { ...lamp, samples: lamp.samples.map((s) => ({ ...s, value: 1 - s.value, slack: 0 })) };
}
