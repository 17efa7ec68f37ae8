/**
 * Assembles an uncoupling from what was found: stand, dump, pull-out, release, hold, clear (AAMVA model CDL manual, section
 * 6, uncoupling steps 1, 7, 8 to 10; the dump is the vehicle makers').
 */
import { type Interval, interval } from '../bounds/interval.ts';
import type { UncouplingMilestones } from '../episode.ts';
import type { Run } from '../evidence.ts';
import type { Move } from '../motion/moves.ts';
import { metresOf } from '../motion/runs.ts';
import type { Fall } from './fall.ts';
import { inOrder, type Pair } from './milestone-order.ts';
import type { Scene } from './scene.ts';
import type { Transfer } from './transfer.ts';

/** The plate is off at most this far after the pull begins, m (contract). */
const plateMetres = 2.5;
/** A standstill that begins further than this from release is no pause under the nose, m (contract: clearMetres). */
const clearMetres = 3;
/** Travel that ends the stand before an uncoupling, m. */
const arrivalMetres = 3;

/** With a dump the trailer stands on its legs before the pull, without one it is released in it, or while the tractor pauses. */
const order: readonly Pair<UncouplingMilestones>[] = [
  ['standTime', 'dumpTime'],
  ['standTime', 'pullOutTime'],
  ['dumpTime', 'pullOutTime'],
  ['holdStartTime', 'holdEndTime'],
  ['holdEndTime', 'clearTime'],
  ['pullOutTime', 'clearTime'],
  ['releaseTime', 'clearTime'],
];

export interface UncouplingParts {
  readonly milestones: UncouplingMilestones;
  readonly dumped: boolean | null;
  readonly time: Interval;
}

export function uncouplingParts(scene: Scene, transfer: Transfer, fall: Fall, blindSpeedKph: number): UncouplingParts {
  const dumped = wasDumped(scene, transfer, fall);
  const dump = dumped === true ? placeDump(scene, transfer, fall) : null;
  const pull = pullOf(scene, transfer, fall, dump?.done ?? null);
  const standTime = standBefore(scene, transfer, pull);
  const releaseTime = releaseOf(scene, transfer, pull, dump?.done ?? null, blindSpeedKph);
  const leaving = leavingMove(scene, transfer, pull);
  const hold = pull === null ? null : longestHold(scene, pull, leaving, blindSpeedKph);
  const pullOutTime = pull === null ? null : pullBegins(scene, pull, dump?.done ?? null);
  const pause = longerPause(dump?.done ?? null, pullOutTime, hold);
  const clearTime = clearOf(scene, pull, leaving, hold, releaseTime, blindSpeedKph);
  const milestones = {
    standTime,
    dumpTime: dump?.done ?? null,
    pullOutTime,
    releaseTime,
    holdStartTime: pause?.start ?? null,
    holdEndTime: pause?.end ?? null,
    clearTime,
  };
  return { dumped, time: dump?.half ?? transfer.time, milestones: inOrder(milestones, order) };
}

/** Of the pause after a dump and the one after pulling out the longer; null where there was neither. */
function longerPause(
  dumpDone: Interval | null,
  pullOut: Interval | null,
  hold: Run | null,
): { start: Interval; end: Interval } | null {
  const after = hold === null ? null : { start: hold.start, end: hold.end };
  if (dumpDone === null || pullOut === null || pullOut.best <= dumpDone.best) return after;
  const dumpedSeconds = pullOut.best - dumpDone.best;
  return after !== null && after.end.best - after.start.best > dumpedSeconds
    ? after
    : { start: dumpDone, end: pullOut };
}

/** Brake, gear, movement during the fall and undershoot below bobtail weighed together; on balance null. */
function wasDumped(scene: Scene, transfer: Transfer, fall: Fall): boolean | null {
  const reported = scene.track.column('suspensionDump');
  if (reported !== null) {
    const times = scene.track.timesMs;
    for (let row = 0; row < scene.track.length; row++) {
      if (reported[row] === 1 && times[row] >= transfer.onset.low - 60_000 && times[row] <= transfer.time.high + 60_000)
        return true;
    }
  }
  if (scene.vehicle?.airDump === false) return false;
  if (fall.shape === 'unseen') return null;
  const { bobtail } = scene.levels;
  const reference = bobtail ?? transfer.to;
  const undershoot = reference - fall.bottom > Math.max(scene.tolerance.sample, 0.35 * scene.sprung(reference));
  if (fall.shape === 'pulled') return undershoot || !densely(scene) ? null : false;
  // Springs that were exhausted come down below the tractor's own level; a pull that no sensor saw leaves them at it.
  return undershoot ? true : null;
}

/** Whether speed and load come often enough, or whenever they change, to show that nothing was emptied before the pull. */
function densely(scene: Scene): boolean {
  return [scene.cadence('speedKph'), scene.cadence(scene.signal)].every(
    (c) => c.mode === 'change-only' || (c.mode === 'periodic' && c.usualMs <= 6000),
  );
}

/** The dump's own fall: from the level before it to its bottom. */
function placeDump(scene: Scene, transfer: Transfer, fall: Fall): { done: Interval; half: Interval } | null {
  const { series, noise, tolerance } = scene;
  const from = transfer.from;
  const bottom = bottomLevel(scene, transfer, fall);
  const left = Math.max(
    0.05 * (from - bottom),
    5,
    scene.signal === 'axleLoadKg' ? 100 : 0,
    Math.min(tolerance.sample / 3, 10),
  );
  const start = series.indexAt(transfer.onset.low);
  const slack = Math.min(Math.max(1.5 * noise, 0.1 * left), 0.6 * left);
  let low = transfer.onset.low;
  let best = Number.NaN;
  let half: Interval | null = null;
  for (let i = start; i < series.length; i++) {
    const value = series.smooth[i];
    if (half === null && value <= (from + bottom) / 2)
      half = interval(series.times[Math.max(0, i - 1)], series.times[i], halfWay(series, i, (from + bottom) / 2));
    if (value > bottom + left + slack) low = series.times[i];
    if (Number.isNaN(best) && value <= bottom + left) best = series.times[i];
    if (value <= bottom + left - slack)
      return half === null ? null : { done: interval(low, series.times[i], best), half };
    if (series.times[i] > transfer.time.high + 180_000) break;
  }
  return null;
}

function halfWay(series: Scene['series'], i: number, level: number): number {
  if (i === 0) return series.times[0];
  const drop = series.smooth[i] - series.smooth[i - 1];
  const share = drop === 0 ? 1 : (level - series.smooth[i - 1]) / drop;
  return series.times[i - 1] + Math.min(1, Math.max(0, share)) * (series.times[i] - series.times[i - 1]);
}

/** Median of the samples near the bottom, so that one noisy sample does not set it. */
function bottomLevel(scene: Scene, transfer: Transfer, fall: Fall): number {
  const { series, tolerance } = scene;
  const near: number[] = [];
  for (
    let i = series.indexAt(transfer.time.low);
    i < series.length && series.times[i] <= transfer.time.high + 120_000;
    i++
  ) {
    if (series.raw[i] <= fall.bottom + tolerance.sample) near.push(series.raw[i]);
    if (near.length >= 15) break;
  }
  near.sort((a, b) => a - b);
  return near.length === 0 ? fall.bottom : near[near.length >> 1];
}

/** The forward movement that leaves the trailer: with a dump the first one after it, else the one in which the load went. */
function pullOf(scene: Scene, transfer: Transfer, fall: Fall, dumpDone: Interval | null): Move | null {
  if (dumpDone !== null) {
    return (
      scene.moves.find(
        (move) => move.kind !== 'reverse' && move.start.high >= dumpDone.low && move.metres.best >= 0.3,
      ) ?? null
    );
  }
  if (fall.pull !== null) return fall.pull;
  return scene.moves.find((move) => move.kind !== 'reverse' && move.start.high >= transfer.onset.low) ?? null;
}

/**
 * When the pull begins. A dumped tractor may creep out below the blind speed, with no load to show it: from the moment
 * forward gear is in and nothing holds the vehicle it may have been on its way.
 */
function pullBegins(scene: Scene, pull: Move, dumpDone: Interval | null): Interval {
  const { gear, parkingBrake, serviceBrake } = scene.columns;
  if (dumpDone === null || gear === null || parkingBrake === null || serviceBrake === null) return pull.start;
  const times = scene.track.timesMs;
  for (let row = 1; row < scene.track.length && times[row] < pull.start.low; row++) {
    if (times[row] < dumpDone.low) continue;
    const free = gear[row] > 0 && parkingBrake[row] === 0 && serviceBrake[row] === 0;
    if (free) return interval(Math.min(times[row - 1], pull.start.low), pull.start.high, times[row]);
  }
  return pull.start;
}

function standBefore(scene: Scene, transfer: Transfer, pull: Move | null): Interval | null {
  const byMs = Math.min(transfer.onset.high, pull?.start.best ?? Infinity);
  let arrival: Move | null = null;
  for (const move of scene.moves) {
    if (move === pull || move.end.best > byMs) break;
    if (move.metres.best >= arrivalMetres) arrival = move;
  }
  return arrival?.end ?? null;
}

/** The row after `firstRow` by which `metres` have been covered, by the given side of the bounds; last row where never. */
function rowAfterMetres(
  scene: Scene,
  firstRow: number,
  metres: number,
  side: 'low' | 'high',
  blindSpeedKph: number,
): number {
  let covered = 0;
  for (let row = Math.max(0, firstRow - 1); row + 1 < scene.track.length; row++) {
    covered += metresOf(scene.track, scene.columns, row + 1, row, blindSpeedKph)[side];
    if (covered >= metres) return row + 1;
  }
  return scene.track.length - 1;
}

/**
 * Release: no earlier than the load begins to go or the pull begins, no later than the plate's length of travel. With a
 * dump the trailer stands on its own legs once the springs are empty.
 */
function releaseOf(
  scene: Scene,
  transfer: Transfer,
  pull: Move | null,
  dumpDone: Interval | null,
  blindSpeedKph: number,
): Interval | null {
  if (pull === null) return null;
  const times = scene.track.timesMs;
  const latest = times[rowAfterMetres(scene, pull.firstRow, plateMetres, 'low', blindSpeedKph)];
  if (dumpDone !== null) return interval(dumpDone.low, Math.max(dumpDone.high, latest), dumpDone.best);
  const low = Math.max(pull.start.low, Math.min(transfer.onset.low, latest));
  const middle = times[rowAfterMetres(scene, pull.firstRow, 1.2, 'high', blindSpeedKph)];
  return interval(low, Math.max(low, latest), middle);
}

/** The move with which the tractor leaves for good: the first after the pull that goes far, or the pull itself. */
function leavingMove(scene: Scene, transfer: Transfer, pull: Move | null): Move | null {
  if (pull === null) return null;
  let metres = 0;
  for (const move of scene.moves) {
    if (move.start.best < pull.start.best) continue;
    metres += move.kind === 'reverse' ? 0 : move.metres.best;
    if (metres > 5) return move;
  }
  return transfer.after.move;
}

/** The longest standstill between the pull and the leaving that begins under the trailer's nose. */
function longestHold(scene: Scene, pull: Move, leaving: Move | null, blindSpeedKph: number): Run | null {
  let longest: Run | null = null;
  for (const run of scene.runs) {
    if (run.kind !== 'standing' || run.firstRow <= pull.firstRow) continue;
    if (leaving !== null && run.start.best >= leaving.start.best && leaving !== pull) break;
    const travelled = metresOf(scene.track, scene.columns, pull.firstRow, run.firstRow - 1, blindSpeedKph);
    if (travelled.best > plateMetres + clearMetres) break;
    if (longest === null || run.end.best - run.start.best > longest.end.best - longest.start.best) longest = run;
  }
  return longest;
}

function clearOf(
  scene: Scene,
  pull: Move | null,
  leaving: Move | null,
  hold: Run | null,
  release: Interval | null,
  blindSpeedKph: number,
): Interval | null {
  if (pull === null || leaving === null) return null;
  if (hold !== null && hold.end.best >= leaving.start.low - 1000) return hold.end;
  if (leaving !== pull) return leaving.start;
  const times = scene.track.timesMs;
  const low = pull.start.low;
  const far = times[rowAfterMetres(scene, pull.firstRow, plateMetres + clearMetres, 'low', blindSpeedKph)];
  return interval(low, Math.max(low, far), Math.max(release?.best ?? low, pull.start.best));
}
