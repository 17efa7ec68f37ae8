/**
 * Backing speed: slowly under the trailer. Measured is the highest speed held for `sustainedSeconds` on the last reverse run;
 * `low` surely inside it, `high` possibly. A sensor that reads 0 may hide up to its blind speed.
 */
import type { Coupling } from '@gearhold/episodes';
import { z } from 'zod';
import { cannotJudge, defineCheck, type Finding, found, inWords, type Limits } from '../check.ts';
import { backingSpeeds, highestKph, ofBackingSpeed } from '../evidence/backing-speeds.ts';
import { possiblyHeld, provenHeld, swingKph } from '../evidence/held-level.ts';
import { measuredBetween } from '../verdict.ts';

export const backingSpeed = defineCheck({
  name: 'backing-speed',
  title: 'slowly while backing under the trailer',
  ...ofBackingSpeed,
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
  const high = possible === null ? null : Math.max(low, possible, evidence.learned.blindSpeedKph);
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
