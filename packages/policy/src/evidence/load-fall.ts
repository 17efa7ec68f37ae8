/**
 * How the load left the fifth wheel, on samples of the load signal: the last one that shows it still on, and whether it has
 * surely begun to go off. Levels in the unit of the load signal, times in ms since the epoch.
 */
import type { Uncoupling } from '@gearhold/episodes';
import type { Pull } from './pull-travel.ts';
import { firstAfter, lastAtOrBefore, samplesOf } from './samples.ts';

/** Within how many noise widths of the level before a sample still shows the load on: few, so that the earliest counts. */
const stillOnWidths = 1;
/** How many noise widths below it a sample shows that the load has begun to go off. */
const surelyOffWidths = 5;
const stillOnShare = 0.02;
const surelyOffShare = 0.1;
/** What of a dump's fall may be left when it is done: a share, or kPa (contract); kg by some 27 a kPa (common practice). */
const restShare = 0.05;
const restOf = { suspensionKpa: 5, axleLoadKg: 135 } as const;
/** Noise widths above that which a sample shows that the fall was not done. */
const surelyAboveWidths = 3;
/** And noise widths of a mean of some samples below it that show that it was. */
const surelyDoneWidths = 3.5;
const longestRun = 8;

/**
 * Time of the last sample before the load transfer that shows the whole load still on: nothing began to go off before it.
 * Null where no sample shows that.
 */
export function loadLastOnMs(episode: Uncoupling): number | null {
  const before = episode.levelBefore;
  if (before === null) return null;
  const load = samplesOf(episode.evidence, episode.loadSignal);
  const threshold = before - margin(episode, before, stillOnWidths, stillOnShare, load.silentBelow);
  for (let i = lastAtOrBefore(load, episode.loadTransferTime.low); i >= 0; i--) {
    if (load.values[i]! >= threshold) return load.times[i]!;
  }
  return null;
}

/**
 * Springs rise only to their stops, so that at once the absolute pressure falls to no less than this share when all of the load
 * goes (design.md: by a factor of about 1.3 to 1.7, common practice); and a load off by less than half still rests.
 */
const atOnceFactor = 1.3;
const restingShare = 0.5;
const atmosphereKpa = 101.325;
/** Noise widths above that of a sample that shows a load still resting. */
const restingWidths = 3;

/**
 * Time of the last sample before the load had gone that shows the trailer still resting on the fifth wheel, in a fall by a pull:
 * what pressure shows lags behind in falling, but not in beginning to. Null where no sample shows it.
 */
export function lastRestingMs(episode: Uncoupling): number | null {
  const { levelBefore: before, levelAfter: after, loadSignal, evidence } = episode;
  if (before === null || after === null || episode.suspensionDumped !== false) return null;
  const load = samplesOf(evidence, loadSignal);
  const { noise, step } = evidence.learned;
  const stops = loadSignal === 'suspensionKpa' ? (before + atmosphereKpa) / atOnceFactor - atmosphereKpa : 0;
  const resting =
    Math.max(stops, after + restingShare * (before - after)) + restingWidths * noise + step + load.silentBelow;
  for (let i = lastAtOrBefore(load, episode.loadTransferTime.high); i >= 0; i--) {
    if (load.values[i]! > resting) return load.times[i]!;
  }
  return null;
}

/** Whether a sample after `fromMs` and no later than `byMs` shows that the load has begun to go off. */
export function loadBegunOff(episode: Uncoupling, fromMs: number, byMs: number): boolean {
  const before = episode.levelBefore;
  if (before === null) return false;
  const load = samplesOf(episode.evidence, episode.loadSignal);
  const threshold = before - margin(episode, before, surelyOffWidths, surelyOffShare, load.silentBelow);
  for (let i = firstAfter(load, fromMs); i < load.times.length && load.times[i]! <= byMs; i++) {
    if (load.values[i]! < threshold) return true;
  }
  return false;
}

/**
 * Earliest instant at which a dump's fall may have been done (all but 5 % of it, 5 kPa or one step, whichever is most): the
 * last sample before the pull that is surely above. Infinity where none is.
 */
export function dumpedFromMs(episode: Uncoupling, { pullOut }: Pick<Pull, 'pullOut'>): number {
  const before = episode.levelBefore;
  const load = samplesOf(episode.evidence, episode.loadSignal);
  const from = episode.milestones.standTime?.low ?? load.times[0] ?? pullOut.low;
  const inside = load.times.flatMap((time, i) => (time >= from && time <= pullOut.high ? [i] : []));
  if (before === null || inside.length === 0) return Number.POSITIVE_INFINITY;
  const lowest = inside.reduce((least, i) => (load.values[i]! <= load.values[least]! ? i : least), inside[0]!);
  const { noise, step } = episode.evidence.learned;
  // The landing gear may have taken part of the load before: the fall is reckoned from all of it.
  const highest = inside.reduce((most, i) => Math.max(most, load.values[i]!), before);
  const rest = Math.max(restShare * (highest - load.values[lowest]!), restOf[episode.loadSignal], step);
  const done = load.values[lowest]! + rest + surelyAboveWidths * noise + step + load.silentBelow;
  const above = inside.findLast((i) => i < lowest && load.values[i]! > done);
  return above === undefined ? Number.POSITIVE_INFINITY : load.times[above]!;
}

/**
 * Latest instant at which the fall was surely done: the end of the first short run of samples whose mean is surely down, for
 * what falls is below its own past mean. Null where none is.
 */
export function dumpedByMs(episode: Uncoupling, doneMs: number, pullMs: number): number | null {
  const before = episode.levelBefore;
  const load = samplesOf(episode.evidence, episode.loadSignal);
  const bottom = load.values.filter((_, i) => load.times[i]! >= doneMs && load.times[i]! <= pullMs);
  if (before === null || bottom.length === 0) return null;
  const { noise, step } = episode.evidence.learned;
  const rest = Math.max(restShare * (before - meanOf(bottom)), restOf[episode.loadSignal], step);
  const off = (count: number) => (surelyDoneWidths * noise) / Math.sqrt(count) + load.silentBelow;
  const done = meanOf(bottom) - off(bottom.length) + rest - step / 2;
  for (let last = 0; last < load.times.length; last++) {
    if (load.times[last]! < doneMs || load.times[last]! > pullMs) continue;
    for (let count = 1; count <= longestRun && count <= last + 1; count++) {
      const run = load.values.slice(last + 1 - count, last + 1);
      if (meanOf(run) + off(count) <= done) return load.times[last]!;
    }
  }
  return null;
}

function meanOf(levels: readonly number[]): number {
  return levels.reduce((sum, level) => sum + level, 0) / levels.length;
}

function margin(episode: Uncoupling, before: number, widths: number, share: number, silentBelow: number): number {
  const { noise, step } = episode.evidence.learned;
  const fall = before - (episode.levelAfter ?? 0);
  return Math.max(widths * noise, step, silentBelow, share * fall);
}
