/**
 * Since when, before the pull that the milestones name, the tractor may have been standing in a pause that counts: what the
 * upper bound must grant. Times in ms since the epoch.
 *
 * Two courses are looked for. The trailer was left before, and backed under again: then a sample shows the load off long
 * before the transfer. Or a short pull freed the kingpin before a dump: read closely, the contract counts the time from the
 * end of the dump; read kindly, the whole standstill in which the dump ended.
 */
import type { Uncoupling } from '@gearhold/episodes';
import type { Pull } from './pull-travel.ts';
import { samplesOf, valueAt } from './samples.ts';
import { rampMs, roomForStandstill, surelyStopped } from './standing.ts';

/** A load that is off this long before the transfer went off in another fall, ms. */
const otherFallMs = 5000;

/** When load was first off, two samples long, in an earlier fall than that of the transfer; null where it never was. */
export function offBefore(episode: Uncoupling, { pullOut }: Pull): number | null {
  const { levelBefore: before, levelAfter: after, loadTransferTime: transfer, milestones } = episode;
  if (before === null || after === null) return null;
  const load = samplesOf(episode.evidence, episode.loadSignal);
  const from = milestones.standTime?.high ?? load.times[0] ?? pullOut.low;
  const until = Math.min(pullOut.low, transfer.low - otherFallMs);
  const half = (before + after) / 2;
  for (let i = 0; i + 1 < load.times.length && load.times[i + 1]! <= until; i++) {
    if (load.times[i]! >= from && load.values[i]! < half && load.values[i + 1]! < half) return load.times[i]!;
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
  // Or may have, too slow for its sensor: free to, and in no gear that speaks against it.
  const unseen = speed.times.find(
    (time, i) =>
      time > stand.high + rampMs &&
      time < dump.low &&
      !surelyStopped(evidence, speed, i) &&
      !(valueAt(gear, time) <= 0),
  );
  return unseen ?? null;
}
