/**
 * Since when, before the pull that the milestones name, the tractor may have been standing in a pause that counts: what the
 * upper bound must grant. Times in ms since the epoch.
 *
 * Three courses are looked for. The trailer was left before, and backed under again: then a sample shows the load off long
 * before the transfer. What was taken for the load's going off was only the rest of it: then samples show far more load before.
 * Or a short pull freed the kingpin before a dump: read closely, the contract counts the time from the end of the dump; read
 * kindly, the whole standstill in which the dump ended.
 */
import type { Uncoupling } from '@gearhold/episodes';
import type { Pull } from './pull-travel.ts';
import { lastAtOrBefore, samplesOf, valueAt } from './samples.ts';
import { isHeld, isSecured, rampMs, roomForStandstill, sureStandstills } from './standing.ts';

/** Whoever moves further than this in one go comes from somewhere else, m (common practice). */
const sameSpotMetres = 20;

/**
 * Since when the tractor has been about where it left the trailer: it may have pulled out, come back and stood anew since it
 * arrived, and what was taken for its coming to rest may be only the last of these.
 */
function aboutHereSince({ evidence, milestones }: Uncoupling): number {
  const stand = milestones.standTime;
  if (stand === null) return Number.NEGATIVE_INFINITY;
  let since = Number.NEGATIVE_INFINITY;
  for (const run of evidence.runs) {
    if (run.end.high > stand.high) break;
    if (run.kind !== 'standing' && run.metres.high > sameSpotMetres) since = run.end.high;
  }
  return Math.min(stand.high, Math.max(since, evidence.track.timesMs[0] ?? since));
}

/** A load that is off this long before the transfer went off in another fall, ms. */
const otherFallMs = 5000;

/**
 * Since when load may have been off, two samples long, in an earlier fall than that of the transfer: the sample before those.
 * Null where it never was.
 */
export function offBefore(episode: Uncoupling, { pullOut }: Pull): number | null {
  const { levelBefore: before, levelAfter: after, loadTransferTime: transfer } = episode;
  if (before === null || after === null) return null;
  const load = samplesOf(episode.evidence, episode.loadSignal);
  const from = aboutHereSince(episode);
  const until = Math.min(pullOut.low, transfer.low - otherFallMs);
  const half = (before + after) / 2;
  for (let i = 0; i + 1 < load.times.length && load.times[i + 1]! <= until; i++) {
    if (load.times[i]! >= from && load.values[i]! < half && load.values[i + 1]! < half)
      return load.times[Math.max(0, i - 1)]!;
  }
  return null;
}

/** A level this much of the fall, and so many noise widths, above the one before it was that of more load (assumed). */
const moreLoadShare = 0.35;
const moreLoadWidths = 8;

/**
 * The last of two samples in a row that show far more load than there was before the fall: part of it had gone off by itself
 * since, and this fall may be only the rest. Null where none do, or where the tractor surely stood from there to the pull: then
 * the landing gear was cranked down and took its part, and no pull came before.
 */
export function heavierBefore(episode: Uncoupling, { pullOut }: Pull): number | null {
  const { evidence, loadSignal, levelBefore: before } = episode;
  if (before === null) return null;
  const load = samplesOf(evidence, loadSignal);
  const { noise, step } = evidence.learned;
  const fall = before - (episode.levelAfter ?? 0);
  const more = before + Math.max(moreLoadShare * fall, moreLoadWidths * noise, 2 * step, load.silentBelow);
  // On the way there the road shakes the springs: only what stood is a level.
  const speed = samplesOf(evidence, 'speedKph');
  const standMs = episode.milestones.standTime?.low ?? Number.NEGATIVE_INFINITY;
  const since = aboutHereSince(episode);
  const stood = (i: number) => load.times[i]! >= standMs || valueAt(speed, load.times[i]!) === 0;
  for (let i = lastAtOrBefore(load, episode.loadTransferTime.low); i > 0; i--) {
    if (load.times[i - 1]! < Math.min(since, standMs)) break;
    if (load.values[i]! <= more || load.values[i - 1]! <= more || !stood(i) || !stood(i - 1)) continue;
    const heavyMs = load.times[i]!;
    const still = sureStandstills(evidence, loadSignal, standMs, pullOut.high);
    return still.some(({ startMs, endMs }) => startMs <= heavyMs && endMs >= pullOut.low) ? null : heavyMs;
  }
  return null;
}

/** When the standstill in which a dump ended may have begun, if a short pull may have come before it; else null. */
export function sinceFreeingPull(episode: Uncoupling, { pullOut }: Pull): number | null {
  const { evidence, milestones } = episode;
  const { dumpTime: dump, standTime: stand } = milestones;
  if (dump === null || stand === null) return null;
  const speed = samplesOf(evidence, 'speedKph');
  const gear = samplesOf(evidence, 'gear');
  const room = roomForStandstill(evidence, stand.low, pullOut.high).findLast(({ startMs }) => startMs <= dump.low);
  if (room === undefined) return null;
  // Moved after it had come to rest.
  if (room.startMs > stand.high + rampMs) return room.startMs;
  // Or may have, too slow for its sensor or between two of its samples: free to, and in no gear that speaks against it.
  const from = stand.high + rampMs;
  for (let i = 1; i < speed.times.length && speed.times[i]! < dump.low; i++) {
    const time = speed.times[i]!;
    if (time <= from || valueAt(gear, time) <= 0) continue;
    const before = speed.times[i - 1]!;
    // What is held is coming to rest, or stands.
    if (speed.values[i] !== 0 || !isHeld(evidence, time)) return time;
    if (time - before > speed.proofGapMs && !(isSecured(evidence, before) && isSecured(evidence, time)))
      return Math.max(before, from);
  }
  return null;
}
