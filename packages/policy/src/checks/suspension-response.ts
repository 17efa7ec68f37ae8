/**
 * Suspension response: the load began to come on before the kingpin was home.
 *
 * A trailer at the right height settles on the fifth wheel while the tractor backs under, and pressure begins to rise within
 * a second or two. No onset means that the trailer may stand too high, and that the kingpin may ride over the fifth wheel.
 * Yes or no: yes where the load surely began to come on before the truck had stopped, no where the samples after it still
 * show none. Where ride height is reported, a squat while backing shows the load as well; its absence shows nothing.
 */
import type { Coupling, Vehicle } from '@gearhold/episodes';
import { z } from 'zod';
import { cannotJudge, defineCheck, type Finding, found, inWords, type Limits } from '../check.ts';
import { type BackingWindow, backingWindow } from '../evidence/backing-window.ts';
import { type Samples, samplesOf } from '../evidence/samples.ts';
import { squats } from '../evidence/squat.ts';
import { measuredBetween } from '../verdict.ts';

/** A rise of fewer noise widths or steps than this shows no onset. */
const clearWidths = 6;
const clearSteps = 3;
/** Samples before the approach, and after the arrival, that must agree before an onset is called late; within which share. */
const leastUnchanged = 10;
const unchangedShare = 0.005;
const beforeMs = 30_000;
/** A passing rise of more noise widths than this shows load. */
const passingWidths = 3;

export const suspensionResponse = defineCheck({
  name: 'suspension-response',
  title: 'load on the fifth wheel before the kingpin is home',
  kinds: ['coupling'],
  needs: ['speedKph', 'suspensionKpa'],
  uses: ['axleLoadKg', 'gear', 'suspensionDump', 'rideHeightMm'],
  limits: {
    graceSeconds: {
      schema: z.number().min(0).max(600),
      meaning: 'How long after the kingpin is home pressure may lag behind a load that came before, s.',
      builtIn: 3,
      source: 'common practice: pressure follows the load within a second or two',
    },
  },
  concern: 'yard',
  urgency: 'today',
  because:
    'the landing gear sets the trailer too high, and the next tractor may ride over the kingpin; the yard can lower it',
  source: 'public CDL manual, coupling step 6: trailer slightly low, so that the tractor lifts it a little',
  judge: (episode, limits, { vehicle }) => judge(episode, limits, vehicle),
});

function judge(
  episode: Coupling,
  limits: Limits & { readonly graceSeconds: number },
  vehicle: Vehicle | null,
): Finding {
  const { levelBefore: before, levelAfter: after, evidence, milestones } = episode;
  const contact = milestones.contactTime;
  const backing = backingWindow(episode);
  if (contact === null || backing === null) {
    return cannotJudge(limits, 'the readings do not show when the load began to come on, or when the kingpin was home');
  }
  if (episode.suspensionDumped === true) return cannotJudge(limits, 'the springs were exhausted to back under');
  const { noise, step } = evidence.learned;
  const clear = Math.max(clearWidths * noise, clearSteps * step);
  const home = backing.end;
  const squat = squatsUnder(episode, vehicle, backing);
  if (before === null || after === null || (after - before < clear && !squat)) {
    return cannotJudge(limits, 'the load that came on is too small to tell when it began');
  }
  const came = contact.high <= home.low || squat;
  const graceOver = home.high + limits.graceSeconds * 1000;
  const proven =
    episode.suspensionDumped === false && !backing.mayHaveCreptOn && staysUnchanged(episode, graceOver, before, after);
  const late = !squat && contact.low > graceOver && proven;
  const lateBy = { value: Math.max(0, Math.round((contact.best - home.best) / 1000)), unit: 's' };
  return found({
    measured: measuredBetween(squat || contact.best <= home.best ? 1 : 0, came ? 1 : 0, late ? 0 : 1, '0/1'),
    ask: 'at-least',
    against: 1,
    limit: limits,
    window: { startMs: Math.min(contact.best, home.best), endMs: Math.max(contact.best, home.best) },
    says: inWords(
      {
        met: 'The load began to come on while the tractor backed under the trailer, as it should.',
        missed:
          'No load came on while the tractor backed under the trailer; it began {late} after the kingpin was home: the trailer may have stood too high.',
        undetermined: 'the readings do not show whether the load began to come on before the kingpin was home.',
      },
      { value: 1, unit: 'count' },
      { late: lateBy },
    ),
  });
}

/**
 * Whether the ride height shows load while the tractor was surely still backing. A lift axle that rises in reverse presses the
 * frame down as well, so that it counts only where the vehicles file says that there is none.
 */
function squatsUnder({ evidence }: Coupling, vehicle: Vehicle | null, backing: BackingWindow): boolean {
  if (vehicle?.liftAxle !== false || backing.mayHaveCreptOn) return false;
  return squats(evidence, backing.possible.startMs, backing.earliestHome, backing.latestHome);
}

/**
 * Whether the samples between grace and onset really show the level of before, and not a part of the load in the noise: their
 * mean, with what noise leaves open, lies within a small share of the later rise.
 */
function staysUnchanged(episode: Coupling, fromMs: number, before: number, after: number): boolean {
  const load = samplesOf(episode.evidence, episode.loadSignal);
  const contact = episode.milestones.contactTime!;
  const between = load.values.filter((_, i) => load.times[i]! >= fromMs && load.times[i]! <= contact.low);
  if (between.length < leastUnchanged) return false;
  const { noise, step } = episode.evidence.learned;
  const approach = episode.milestones.approachTime!;
  const earlier = load.values.filter(
    (_, i) => load.times[i]! >= approach.low - beforeMs && load.times[i]! <= approach.low,
  );
  if (earlier.length < leastUnchanged) return false;
  const bare = Math.min(before, meanOf(earlier));
  const spread = Math.sqrt(1 / between.length + 1 / earlier.length);
  // A levelling valve may have let off what came on: no rise at all may show in between.
  // Nor may it have fallen: springs that were still letting go of the trailer before hide a load that comes on.
  const highest = highestHeld(load, approach.low - beforeMs, contact.low);
  if (highest - Math.min(bare, meanOf(between)) > Math.max(passingWidths * noise, 2 * step) + load.silentBelow)
    return false;
  const open = 2 * noise * spread + load.silentBelow;
  return meanOf(between) - bare + open <= unchangedShare * (after - before);
}

/** Highest median of three neighbouring samples. */
function highestHeld(load: Samples, fromMs: number, toMs: number): number {
  let highest = Number.NEGATIVE_INFINITY;
  for (let i = 1; i + 1 < load.times.length; i++) {
    if (load.times[i]! < fromMs || load.times[i]! > toMs) continue;
    const [a, b, c] = [load.values[i - 1]!, load.values[i]!, load.values[i + 1]!];
    highest = Math.max(highest, Math.max(Math.min(a, b), Math.min(Math.max(a, b), c)));
  }
  return highest;
}

function meanOf(levels: readonly number[]): number {
  return levels.reduce((sum, level) => sum + level, 0) / levels.length;
}
