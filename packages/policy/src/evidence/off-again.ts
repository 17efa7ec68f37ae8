/**
 * Whether the load of a coupling went off again within its own readings: then it was one try of several, or the trailer was
 * left at once, and when it was taken for good is not shown.
 */
import type { Coupling } from '@gearhold/episodes';
import { firstAfter, samplesOf } from './samples.ts';

/** A sample that shows no more than this share of the load is one without the trailer. */
const withoutShare = 0.25;
/** And lies so many noise widths below the level with it. */
const surelyOffWidths = 6;

export function wentOffAgain({ evidence, loadSignal, levelBefore, levelAfter, loadTransferTime }: Coupling): boolean {
  if (levelBefore === null || levelAfter === null) return false;
  const load = samplesOf(evidence, loadSignal);
  const off = Math.min(
    levelBefore + withoutShare * (levelAfter - levelBefore),
    levelAfter - surelyOffWidths * evidence.learned.noise - load.silentBelow,
  );
  const since = firstAfter(load, loadTransferTime.high);
  return load.values.some((level, i) => i >= since && level < off);
}
