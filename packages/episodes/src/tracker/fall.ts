/**
 * Weighs a fall of the load: was a trailer left?
 *
 * Without a dump the load goes off as the tractor pulls out; with one it decays at standstill to near nothing, and refills
 * to bobtail once the tractor is out. A dock unloads over minutes to a level that is not bobtail; after kneeling or a leak
 * the level comes back.
 */
import type { Move } from '../motion/moves.ts';
import { heldAt, metresOf } from '../motion/runs.ts';
import { median } from '../statistics/robust.ts';
import type { Coupled } from './resolve.ts';
import type { Scene } from './scene.ts';
import { besideTheLightest, notAtOnce, secondsOfChange, type Transfer, type Weighed } from './transfer.ts';

/** Where bobtail is not known yet, leaving a trailer must lower the level at least to this share. */
const unknownFall = 0.8;

/** The same where a lift axle may have come down: nothing was seen of the truck before it stood. */
const liftedFall = 0.65;

export type FallShape =
  /** The load began to go off as a forward movement began. */
  | 'pulled'
  /** It decayed at standstill, quickly. */
  | 'dumped'
  /** At standstill, over minutes or in steps. */
  | 'slow'
  /** No sample tells: a silence lies over it. */
  | 'unseen';

export interface Fall {
  readonly shape: FallShape;
  /** Lowest smoothed sample between the fall and the refill. */
  readonly bottom: number;
  /** The movement in which, or before which, the load went. */
  readonly pull: Move | null;
}

/** Silence that hides how a fall went, ms. */
const unseenMs = 25_000;
const quickSeconds = 45;

export function shapeOfFall(scene: Scene, transfer: Transfer): Fall {
  const { series } = scene;
  const bottom = bottomAfter(scene, transfer);
  let pull: Move | null = null;
  let next: Move | null = null;
  for (const move of scene.moves) {
    if (move.kind === 'reverse') continue;
    if (move.start.low <= transfer.time.high && move.end.best > transfer.onset.low - 20_000) {
      if (move.start.best < transfer.time.best + 500 || pull === null) pull = move;
    }
    if (next === null && move.start.high > transfer.time.low) next = move;
  }
  const gap = largestGap(scene, transfer);
  const inPull =
    pull !== null &&
    pull.metres.best > 1 &&
    pull.start.low < transfer.onset.high &&
    pull.start.low - transfer.onset.low <= unseenMs &&
    transfer.onset.high - pull.end.high <= unseenMs;
  if (gap > unseenMs && !inPull) {
    return { shape: 'unseen', bottom, pull: next };
  }
  const slack = Math.max(1500, 0.6 * scene.loadIntervalMs);
  if (pull !== null && transfer.onset.high >= pull.start.low - 500 && transfer.onset.low <= pull.end.high + slack) {
    // Onset while it moved, or at most a sample away: pulled, unless all of the fall was over before the wheels turned.
    const fallen = shareFallenBy(series, transfer, pull.start.low);
    // By a few seconds after it the load must be on its way: else the move was an earlier nudge, and the fall is its own.
    const begun = shareFallenBy(series, transfer, pull.end.high + slack + 3000) >= 0.15;
    const near = metresBefore(scene, pull, transfer.onset.low) <= pulledWithinMetres;
    if (near && fallen < 0.5 && begun && !freedOnly(scene, transfer, pull, bottom))
      return { shape: 'pulled', bottom, pull };
  }
  const seconds = secondsOfChange(scene, transfer);
  return { shape: seconds <= quickSeconds ? 'dumped' : 'slow', bottom, pull: next };
}

/** The load begins to go off within so much of the pull's beginning: the plate is off after 2.5 m (contract), and a margin. */
const pulledWithinMetres = 5;

/** Metres that were surely covered within a move before an instant. */
function metresBefore(scene: Scene, move: Move, atMs: number): number {
  const times = scene.track.timesMs;
  let last = move.firstRow;
  while (last < move.lastRow && times[last + 1] <= atMs) last += 1;
  if (times[last] > atMs || last === move.firstRow) return 0;
  return metresOf(scene.track, scene.columns, move.firstRow, last, 0).low;
}

/** A pull so short that it only freed the kingpin, and springs emptied at standstill after it, below any bobtail level. */
function freedOnly(scene: Scene, transfer: Transfer, pull: Move, bottom: number): boolean {
  if (pull.metres.best > 1.2) return false;
  const { series } = scene;
  const reference = scene.levels.bobtail ?? transfer.to;
  if (reference - bottom < Math.max(scene.tolerance.sample, 0.4 * scene.sprung(reference))) return false;
  // The bottom was reached before the next movement: nothing but a dump empties springs at standstill within seconds.
  const next = scene.moves.find((move) => move.start.best > pull.end.best && move.kind !== 'reverse');
  const reached = series.window(pull.end.high, next?.start.low ?? pull.end.high + 60_000);
  return reached.count > 0 && shareFallenBy(series, transfer, pull.end.low) < 0.5;
}

/** Whether emptied springs were full again before the pull: a trailer that stands on its legs would have been lifted. */
function filledAgain(scene: Scene, transfer: Transfer, fall: Fall): boolean {
  if (fall.pull === null) return false;
  const { series } = scene;
  const atPull = series.levelBefore(fall.pull.start.low, 4000, 2, transfer.time.high);
  const lowest = bottomBetween(scene, transfer.time.low, fall.pull.start.low);
  if (atPull.count === 0 || !Number.isFinite(lowest)) return false;
  // Let go in gear, it may have crept out from under the trailer slower than the wheel sensor sees.
  if (mayHaveCrept(scene, transfer.time.high, fall.pull.start.low)) return false;
  const least = Math.max(scene.tolerance.distinct(lowest, lowest), 0.3 * (transfer.from - lowest));
  return atPull.level - lowest > least;
}

function mayHaveCrept(scene: Scene, fromMs: number, toMs: number): boolean {
  const times = scene.track.timesMs;
  for (let row = 0; row < times.length && times[row] <= toMs; row++)
    if (times[row] >= fromMs && !heldAt(scene.columns, row)) return true;
  return false;
}

function bottomBetween(scene: Scene, fromMs: number, toMs: number): number {
  const { series } = scene;
  let bottom = Infinity;
  for (let i = series.indexAt(fromMs); i < series.length && series.times[i] <= toMs; i++)
    if (series.smooth[i] < bottom) bottom = series.smooth[i];
  return bottom;
}

function shareFallenBy(series: Scene['series'], transfer: Transfer, atMs: number): number {
  const i = series.indexAt(atMs);
  const level = series.smooth[Math.min(series.length - 1, Math.max(0, i))];
  return (transfer.from - level) / (transfer.from - transfer.to);
}

function bottomAfter(scene: Scene, transfer: Transfer): number {
  const bottom = bottomBetween(scene, transfer.time.low, transfer.time.high + 120_000);
  return Number.isFinite(bottom) ? bottom : transfer.to;
}

function largestGap(scene: Scene, transfer: Transfer): number {
  const { series } = scene;
  let gap = 0;
  for (
    let i = series.indexAt(transfer.onset.low) + 1;
    i < series.length && series.times[i - 1] <= transfer.time.high;
    i++
  ) {
    gap = Math.max(gap, series.times[i] - series.times[i - 1]);
  }
  return gap;
}

export function weighFall(scene: Scene, transfer: Transfer, fall: Fall, state: Coupled): Weighed {
  const told = besideTheLightest(scene, transfer.from, weigh(scene, transfer, fall, state));
  const weighed = turnedBefore(scene, transfer, fall)
    ? told
    : changedAtOnce(scene, transfer)
      ? { confidence: 0, teaches: false }
      : notAtOnce(scene, transfer, told);
  // Empty springs are no level to learn: bobtail is what they are filled to afterwards.
  return emptySprings(scene, transfer.to) ? { ...weighed, teaches: false } : weighed;
}

/** So much of a fall between two samples is all of it, but for noise; where samples come at most this far apart, ms. */
const atOnceShare = 0.75;
const denseLoadMs = 1100;

/** Whether the wheels already turned when the load was last at its old level: a sensor is replaced at standstill. */
function turnedBefore(scene: Scene, transfer: Transfer, fall: Fall): boolean {
  const { speed } = scene.columns;
  if (fall.shape !== 'pulled' || fall.pull === null || speed === null) return false;
  const row = scene.series.rowOf(scene.series.indexAt(transfer.time.low));
  return row >= fall.pull.firstRow && row <= fall.pull.lastRow && speed[row] > 0;
}

/** The engine pulls with so much more of its torque than it idles with, %; looked for from so long before the load goes, ms. */
const pullingTorquePct = 8;
const pullingBeforeMs = 4000;
const idlingFromMs = 60_000;

/**
 * Whether the load went as the tractor pulled out slower than the wheel sensor sees: with the brakes off and the engine
 * pulling. Springs are exhausted, and docks unload, with a brake set.
 */
function creptOut(scene: Scene, transfer: Transfer): boolean {
  const { parkingBrake, serviceBrake, gear } = scene.columns;
  const torque = scene.track.column('torquePct');
  // Where gear is reported, its creeping is a movement of its own.
  if (parkingBrake === null || torque === null || scene.gearReported) return false;
  const times = scene.track.timesMs;
  const fromMs = transfer.onset.low - pullingBeforeMs;
  const idling: number[] = [];
  for (let row = 0; row < times.length && times[row] <= transfer.time.high; row++) {
    if (times[row] < fromMs) {
      if (times[row] >= fromMs - idlingFromMs && !Number.isNaN(torque[row])) idling.push(torque[row]);
      continue;
    }
    const free = parkingBrake[row] === 0 && serviceBrake?.[row] !== 1 && !(gear !== null && gear[row] <= 0);
    if (free && idling.length > 0 && torque[row] >= median(idling) + pullingTorquePct) return true;
  }
  return false;
}

/** Whether the load changed from one sample to the next, dense as they come, before any level of the truck was known. */
export function changedAtOnce(scene: Scene, transfer: Transfer): boolean {
  if (scene.levels.bobtail !== null || scene.loadIntervalMs > denseLoadMs) return false;
  const { times, raw, length } = scene.series;
  const i = scene.series.indexAt(transfer.time.low);
  if (i + 1 >= length || times[i + 1] - times[i] > denseLoadMs) return false;
  const steps = [i - 1, i, i + 1].map((k) => (k < 0 || k + 1 >= length ? 0 : Math.abs(raw[k] - raw[k + 1])));
  return Math.max(...steps) >= atOnceShare * Math.abs(transfer.from - transfer.to);
}

/**
 * The highest level at which tractors are known to travel alone, kPa: with two driven axles, with one, and a margin (common
 * practice; a published air-spring design example has 230 for one). The level of a truck is learned all the same.
 */
export function usualBobtail(scene: Scene): number {
  if (scene.signal !== 'suspensionKpa') return scene.vehicle?.driveAxles === 2 ? 6500 : Infinity;
  return scene.vehicle?.driveAxles === 2 ? 110 : 270;
}

/** No trailer leaves less in the springs, kPa, with two driven axles, or an unknown number of them, and with one (common practice). */
function leastCoupledKpa(scene: Scene): number {
  return scene.vehicle?.driveAxles === 1 ? 270 : 90;
}

/** A raised lift axle puts so much more on the drive axles (common practice). */
const liftedShare = 1.3;

/** The same with a lift axle up, where the fleet states one. */
function heaviestAlone(scene: Scene): number {
  return usualBobtail(scene) * (scene.vehicle?.liftAxle === true ? liftedShare : 1);
}

/** Whether a lift axle may have moved: where the fleet states one, or does not deny it of a truck that was `unseen` before. */
export function mayLift(scene: Scene, unseen: boolean): boolean {
  const lifts = scene.vehicle?.liftAxle;
  return lifts === true || (unseen && lifts !== false);
}

/** Whether the level from which the springs were emptied has come back since. */
function comesBack(scene: Scene, transfer: Transfer): boolean {
  const { series } = scene;
  const now = series.levelBefore(series.times[series.length - 1], 8000, 3);
  return transfer.from - now.level <= scene.tolerance.distinct(transfer.from, now.level);
}

/** Whether a level is that of springs with next to nothing in them. */
export function emptySprings(scene: Scene, level: number): boolean {
  return level <= scene.springs.emptyAt;
}

function weigh(scene: Scene, transfer: Transfer, fall: Fall, state: Coupled): Weighed {
  const refused: Weighed = { confidence: 0, teaches: false };
  const { from, to } = transfer;
  const { bobtail } = scene.levels;
  const settledOut = fall.shape !== 'slow';
  // Refilled before the truck moved: a driver who knelt at a dock, the trailer never left.
  if (fall.shape === 'dumped' && filledAgain(scene, transfer, fall)) return refused;
  // A trailer cannot be left twice: what falls further while bobtail is the suspension, still levelling.
  if (
    state === 'off' &&
    (bobtail === null || from - bobtail < 0.6 * Math.max(coupledLevel(scene) - bobtail, 0.5 * scene.sprung(from)))
  )
    return refused;
  if (bobtail === null) {
    // So light that no trailer can have been on.
    if (scene.signal === 'suspensionKpa' && from <= leastCoupledKpa(scene)) return refused;
    // A lift axle that comes down as the truck moves off takes up to a third of the level with it.
    const unseen = transfer.before.move === null || !scene.gearReported;
    if (scene.sprung(to) > (mayLift(scene, unseen) ? liftedFall : unknownFall) * scene.sprung(from)) return refused;
    // A tractor's own weight stays on its springs when it pulls out; what goes to nothing is a dump, or the sensor.
    if (fall.shape === 'pulled' && emptySprings(scene, to)) return refused;
    // No tractor is known to weigh so much alone: a lift axle came down, or part of the cargo went.
    if (to > usualBobtail(scene)) return refused;
    if (fall.shape === 'pulled') return { confidence: 0.93, teaches: true };
    const undershoot = to - fall.bottom > Math.max(scene.tolerance.sample, 0.3 * scene.sprung(to));
    if (fall.shape === 'dumped' && undershoot && transfer.after.settled)
      return { confidence: 0.9, teaches: scene.sprung(to) > 1.5 * scene.sprung(fall.bottom) };
    if (fall.shape === 'dumped' && !emptySprings(scene, to) && creptOut(scene, transfer))
      return { confidence: 0.85, teaches: transfer.after.settled };
    // Driven off with empty springs: a driver who only knelt fills them first, but bobtails are moved like this, too.
    if (
      fall.shape === 'dumped' &&
      emptySprings(scene, to) &&
      from > heaviestAlone(scene) &&
      !comesBack(scene, transfer)
    )
      return { confidence: 0.7, teaches: false };
    // Anything else at standstill may be a dock, a container or a driver kneeling: no ground to accuse or to learn from.
    return refused;
  }
  const share = fall.shape === 'pulled' ? 0.15 : 0.06;
  const near = Math.max(scene.tolerance.distinct(to, bobtail), share * (from - bobtail));
  if (to - bobtail > near) {
    // Still on its way down, and half of the load gone within the pull: the springs have yet to let go of the rest.
    if (fall.shape === 'pulled' && state === 'on' && !transfer.after.settled && to - bobtail < 0.5 * (from - bobtail))
      return { confidence: 0.95, teaches: false };
    // A level above bobtail: what is left is a trailer, unless bobtail itself has moved.
    return fall.shape === 'pulled' && scene.sprung(to) < 0.6 * scene.sprung(from) && state === 'on'
      ? { confidence: 0.55, teaches: true }
      : refused;
  }
  if (bobtail - to > near) {
    // Emptied at standstill within seconds and driven off so: a driver who only knelt fills the springs first.
    if (fall.shape === 'dumped' && emptySprings(scene, to)) return { confidence: 0.95, teaches: false };
    return { confidence: settledOut ? 0.85 : 0.6, teaches: fall.shape === 'pulled' };
  }
  return { confidence: fall.shape === 'pulled' ? 0.99 : settledOut ? 0.96 : 0.85, teaches: settledOut };
}

/** A trailer that comes off, or a spring that bursts, takes the load away within so much, s (common practice). */
const lossSeconds = 20;

/** Weighs a fall at speed: a load that goes within seconds, down to bobtail or below. */
export function weighLoss(scene: Scene, transfer: Transfer, state: Coupled): Weighed {
  const { from, to } = transfer;
  // No trailer, no load to lose.
  if (state === 'off') return { confidence: 0, teaches: false };
  const { bobtail } = scene.levels;
  if (secondsOfChange(scene, transfer) > lossSeconds) return { confidence: 0, teaches: false };
  if (bobtail === null) return { confidence: scene.sprung(to) < 0.6 * scene.sprung(from) ? 0.7 : 0, teaches: false };
  const near = Math.max(scene.tolerance.distinct(to, bobtail), 0.15 * (from - bobtail));
  return { confidence: to - bobtail <= near ? 0.95 : 0, teaches: false };
}

/** The lowest level known to be coupled; 0 where none is. */
function coupledLevel(scene: Scene): number {
  return scene.levels.empty ?? scene.levels.loaded ?? 0;
}
