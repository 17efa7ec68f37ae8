/**
 * Air bags restored: no driving away, above walking pace, on exhausted drive-axle springs.
 *
 * Measured is the highest speed held while the springs were exhausted. `low` counts only speed at which pressure surely had
 * hardly risen from the bottom of the dump; `high` all speed at which it may not yet have been restored.
 */
import type { Coupling, Uncoupling } from '@gearhold/episodes';
import { z } from 'zod';
import { cannotJudge, defineCheck, type Finding, found, inWords, type Limits, notAsked } from '../check.ts';
import { possiblyHeld, provenHeld, swingKph } from '../evidence/held-level.ts';
import { lastAtOrBefore, type Samples, samplesOf, valueAt } from '../evidence/samples.ts';
import { measuredBetween } from '../verdict.ts';

/** Share of the way back up to the settled level below which the springs are surely exhausted, and above which not. */
const exhaustedShare = 0.15;
const restoredShare = 0.6;
/** Fewer noise widths or steps between bottom and settled level than this tell nothing. */
const clearWidths = 8;
const clearSteps = 4;

export const airbagsRestored = defineCheck({
  name: 'airbags-restored',
  title: 'air back in the drive-axle springs before driving away',
  kinds: ['coupling', 'uncoupling'],
  needs: ['speedKph', 'suspensionKpa'],
  uses: ['axleLoadKg', 'suspensionDump'],
  limits: {
    maxKph: {
      schema: z.number().min(0).max(50),
      meaning: 'Highest speed on exhausted springs, km/h.',
      builtIn: 8,
      source: '5 mph: the dump valve works only below it (International ProStar+ operator manual, p. 197)',
    },
    sustainedSeconds: {
      schema: z.number().positive().max(60),
      meaning: 'How long a speed must be held to count, s.',
      builtIn: 2,
      source: 'house policy',
    },
  },
  concern: 'driver',
  urgency: 'today',
  because: 'the driver works the valve; a truck on its bump stops is hard to steer and breaks parts',
  source:
    'International ProStar+ operator manual, p. 197: suspension back on before driving, with a trailer or without',
  judge,
});

type SpeedLimits = Limits & { readonly maxKph: number; readonly sustainedSeconds: number };

function judge(episode: Coupling | Uncoupling, limits: SpeedLimits): Finding {
  const { evidence, suspensionDumped: dumped } = episode;
  if (dumped === false) return notAsked(limits, 'the springs were not exhausted');
  if (dumped === null) return cannotJudge(limits, 'the readings do not show whether the springs were exhausted');
  const leaves = episode.kind === 'coupling' ? episode.milestones.departureTime : episode.milestones.pullOutTime;
  const speed = samplesOf(evidence, 'speedKph');
  const load = samplesOf(evidence, episode.loadSignal);
  if (leaves === null) return cannotJudge(limits, 'the readings do not show the driving away');
  if (speed.times.length === 0) return cannotJudge(limits, 'speed was not reported');
  const levels = dumpLevels(episode, load, leaves.low);
  if (levels === null) return cannotJudge(limits, 'exhausted and restored springs do not differ enough to tell');
  const end = speed.times.at(-1)!;
  const window = { startMs: leaves.low, endMs: Math.max(leaves.low, end) };
  const sustainedMs = limits.sustainedSeconds * 1000;
  const proven = provenHeld(
    evidence,
    whileLoad(speed, load, load.proofGapMs, (level, next) => level <= levels.exhausted && next <= levels.exhausted),
    window,
    sustainedMs,
  );
  // Filled between two samples: until the first that shows it they may have been empty.
  const mayBe = whileLoad(
    speed,
    load,
    load.standsMs,
    (level, _, before) => !(level >= levels.restored && before >= levels.restored),
  );
  const restored = valueAt(load, end) >= levels.restored;
  const possible = restored ? possiblyHeld(mayBe, window, sustainedMs, speed.standsMs) : null;
  const low = Math.max(0, (proven?.level ?? 0) - swingKph);
  return found({
    measured: measuredBetween(
      Math.max(0, proven?.level ?? 0),
      low,
      possible === null ? null : Math.max(low, possible, evidence.learned.blindSpeedKph),
      'km/h',
    ),
    ask: 'at-most',
    against: limits.maxKph,
    limit: limits,
    window: proven?.stretch ?? window,
    says: inWords(
      {
        met: 'The springs were filled again before the truck drove faster than {asked}.',
        missed:
          'The truck drove at {measured} {sure} on exhausted springs; at most {asked} is asked until they are filled again.',
        undetermined:
          'the readings do not show whether the springs were filled again before the truck drove faster than {asked}.',
      },
      { value: limits.maxKph, unit: 'km/h' },
    ),
  });
}

/** Levels that tell exhausted from restored springs, or null where they lie too close. */
function dumpLevels(episode: Coupling | Uncoupling, load: Samples, leavesMs: number) {
  const bottom = lowestHeld(load, leavesMs - 60_000);
  if (bottom === null) return null;
  const { bobtail, noise, step } = episode.evidence.learned;
  const settled = (episode.kind === 'uncoupling' ? bobtail : null) ?? episode.levelAfter;
  if (settled === null || settled - bottom < Math.max(clearWidths * noise, clearSteps * step, load.silentBelow))
    return null;
  const way = settled - bottom;
  return { exhausted: bottom + exhaustedShare * way - 2 * noise, restored: bottom + restoredShare * way };
}

/** Lowest median of three neighbouring samples from `fromMs` on: the bottom, and not the one that noise threw lowest. */
function lowestHeld(load: Samples, fromMs: number): number | null {
  let lowest: number | null = null;
  for (let i = Math.max(1, lastAtOrBefore(load, fromMs) + 2); i + 1 < load.times.length; i++) {
    const [a, b, c] = [load.values[i - 1]!, load.values[i]!, load.values[i + 1]!];
    const median = Math.max(Math.min(a, b), Math.min(Math.max(a, b), c));
    lowest = Math.min(lowest ?? median, median);
  }
  return lowest;
}

/**
 * Speed where the load signal shows a state, 0 where it does not. The state is asked of the level last reported, of the one
 * reported next and of the one before, each not further than `nearMs`; a missing level is NaN.
 */
function whileLoad(
  speed: Samples,
  load: Samples,
  nearMs: number,
  holds: (level: number, next: number, before: number) => boolean,
): Samples {
  const values = speed.values.map((value, i) => {
    const time = speed.times[i]!;
    const last = lastAtOrBefore(load, time);
    const next = load.times[last] === time ? last : last + 1;
    const near = (j: number) => (Math.abs(load.times[j]! - time) <= nearMs ? load.values[j]! : Number.NaN);
    return holds(near(last), near(next), near(last - 1)) ? value : 0;
  });
  return { ...speed, values };
}
