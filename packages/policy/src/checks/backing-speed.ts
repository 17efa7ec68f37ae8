/**
 * Backing speed: slowly under the trailer. Measured is the highest speed held for `sustainedSeconds` on the last reverse run;
 * `low` surely inside it, `high` possibly. A sensor that reads 0 may hide up to its blind speed.
 */
import type { Coupling } from '@gearhold/episodes';
import { z } from 'zod';
import { cannotJudge, defineCheck, type Finding, found, inWords, type Limits } from '../check.ts';
import { backingSpeeds, highestKph, ofBackingSpeed } from '../evidence/backing-speeds.ts';
import { possiblyHeld, provenHeld, swingKph } from '../evidence/held-level.ts';
import type { Samples } from '../evidence/samples.ts';
import type { Stretch } from '../evidence/standing.ts';
import { measuredBetween } from '../verdict.ts';

/** How fast a truck gathers speed in reverse gear, and brakes it off, km/h in a second: 0.6 and 1 m/s2 (common practice). */
const gathersKphPerSecond = 2.2;
const brakesKphPerSecond = 3.6;

export const backingSpeed = defineCheck({
  name: 'backing-speed',
  title: 'slowly while backing under the trailer',
  ...ofBackingSpeed,
  proofs: { missed: { dense: ['speedKph'] } },
  limits: {
    maxKph: {
      schema: highestKph,
      meaning: 'Highest speed, km/h.',
      builtIn: 8,
      source: 'house policy, a brisk walk; the public CDL manual says slowly and sets no figure',
    },
    sustainedSeconds: {
      schema: z.number().positive().max(60),
      meaning: 'How long a speed must be held to count, s.',
      builtIn: 1,
      source: 'house policy',
    },
  },
  concern: 'driver',
  urgency: 'routine',
  because: 'the driver sets the speed; the trailer stands still, so nobody is in danger now',
  source: 'public CDL manual, coupling steps 4 and 10: reverse slowly, in the lowest reverse gear',
  judge,
});

function judge(
  episode: Coupling,
  limits: Limits & { readonly maxKph: number; readonly sustainedSeconds: number },
): Finding {
  const { evidence } = episode;
  const seen = backingSpeeds(episode);
  if ('why' in seen) return cannotJudge(limits, seen.why);
  const { speed, window } = seen;
  const sustainedMs = limits.sustainedSeconds * 1000;
  const proven = window.sure === null ? null : provenHeld(evidence, speed, window.sure, sustainedMs);
  const possible = possiblyHeld(speed, window.possible, sustainedMs, speed.standsMs);
  const low = Math.max(0, (proven?.level ?? 0) - swingKph);
  const between = fastestBetween(speed, window.possible, sustainedMs);
  const high = possible === null ? null : Math.max(low, possible, between, evidence.learned.blindSpeedKph);
  const fastest = provenHeld(evidence, speed, window.best, 0);
  return found({
    measured: measuredBetween(fastest?.level ?? low, low, high, 'km/h'),
    ask: 'at-most',
    against: limits.maxKph,
    limit: limits,
    window: window.best,
    says: inWords(
      {
        met: 'Backed under the trailer at {measured} {sure} at the fastest; at most {asked} is asked.',
        missed: 'Backed under the trailer at {measured} {sure}; at most {asked} is asked.',
        undetermined:
          'backed under the trailer at {measured} {sure}, and the readings do not show on which side of {asked}.',
      },
      { value: limits.maxKph, unit: 'km/h' },
    ),
  });
}

/**
 * Highest speed that may have been held between two samples too far apart to show it: gathered, held and braked off again in
 * the time between them, as a truck in its reverse gear does. 0 where the samples are close enough.
 */
function fastestBetween(speed: Samples, { startMs, endMs }: Stretch, sustainedMs: number): number {
  let fastest = 0;
  for (let i = 0; i + 1 < speed.times.length; i++) {
    const gap = speed.times[i + 1]! - speed.times[i]!;
    if (speed.changeOnly || gap <= Math.max(speed.proofGapMs, sustainedMs)) continue;
    const seconds = (Math.min(endMs, speed.times[i + 1]!) - Math.max(startMs, speed.times[i]!) - sustainedMs) / 1000;
    if (seconds <= 0) continue;
    const gathered = brakesKphPerSecond * speed.values[i]! + gathersKphPerSecond * speed.values[i + 1]!;
    const peak =
      (gathered + gathersKphPerSecond * brakesKphPerSecond * seconds) / (gathersKphPerSecond + brakesKphPerSecond);
    fastest = Math.max(fastest, peak);
  }
  return fastest;
}
