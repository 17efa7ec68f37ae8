/**
 * How the load left the fifth wheel, on samples of the load signal: the last one that shows it still on, and whether it has
 * surely begun to go off. Levels in the unit of the load signal, times in ms since the epoch.
 */
import type { Uncoupling } from '@gearhold/episodes';
import { firstAfter, lastAtOrBefore, samplesOf } from './samples.ts';

/** Within how many noise widths of the level before a sample still shows the load on: few, so that the earliest counts. */
const stillOnWidths = 1;
/** How many noise widths below it a sample shows that the load has begun to go off. */
const surelyOffWidths = 5;
const stillOnShare = 0.02;
const surelyOffShare = 0.1;

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

function margin(episode: Uncoupling, before: number, widths: number, share: number, silentBelow: number): number {
  const { noise, step } = episode.evidence.learned;
  const fall = before - (episode.levelAfter ?? 0);
  return Math.max(widths * noise, step, silentBelow, share * fall);
}
