/**
 * Weighs a rise of the load: is it a trailer taken?
 *
 * A coupling begins in reverse, from bobtail, within seconds, even where the rest of the load arrives later. A dock or a
 * container changes the load of a trailer that is already on, at standstill, and from a level that is not bobtail.
 */
import { type Interval, interval } from '../bounds/interval.ts';
import { type Move, shortestStandMs } from '../motion/moves.ts';
import { heldAt } from '../motion/runs.ts';
import { shareOnArrival } from './arrival.ts';
import { emptySprings, mayLift, usualBobtail } from './fall.ts';
import type { Coupled } from './resolve.ts';
import type { Scene } from './scene.ts';
import { besideTheLightest, notAtOnce, secondsOfChange, type Transfer, type Weighed } from './transfer.ts';
import { findTugTests } from './tug-tests.ts';

/** Load that begins within this after backing up began under the trailer, s: the spring answers within a second or two. */
const promptSeconds = 6;
/** Where bobtail is not known yet, so much of the rise must come with the kingpin's arrival; a dock loads later. */
const leastOnArrival = 0.2;
/** A tug test comes within this after backing under, ms (the house policy of the built-in check). */
const tugWithinMs = 120_000;
/** Legs are cranked up within this after it, ms (common practice). */
const longestLegsMs = 1_200_000;
/** Where bobtail is not known yet, a trailer must raise the level by this factor; sliding axles move less. */
const unknownRise = 1.25;
/** The same where a lift axle may have gone up, and no gear tells which way the truck went. */
const liftedRise = 1.5;

/** The backing that took the trailer: the last reverse move that began before half of the load was on. */
export function backingOf(scene: Scene, transfer: Transfer): Move | null {
  const { before } = transfer;
  const notBefore = before.move?.kind === 'reverse' || before.move?.kind === 'moving' ? before.fromMs : before.toMs;
  let found: Move | null = null;
  for (const move of scene.moves) {
    if (move.start.best >= transfer.time.high || move.end.best < notBefore) continue;
    if (move.kind === 'reverse') found = move;
    else if (move.kind === 'moving' && !scene.gearReported) found = move;
    // Some metres forward, and the trailer of an earlier backing is no longer under it.
    else if (found !== null && move.kind === 'forward' && move.metres.low > 3 && move.end.best < transfer.onset.low)
      found = null;
  }
  if (found !== null && transfer.onset.low <= found.end.high + promptSeconds * 1000) return found;
  // The load came long after the last backing that the wheel sensor saw: a slower one may have brought it.
  const blind = blindBacking(scene, transfer, notBefore);
  if (blind === null) return found;
  const later = found === null || blind.start.best > found.end.best;
  return later && (found === null || transfer.onset.low <= blind.end.high + promptSeconds * 1000) ? blind : found;
}

/** A stretch of reverse gear whose speed reads 0 throughout: slower than the sensor can see. */
function blindBacking(scene: Scene, transfer: Transfer, notBeforeMs: number): Move | null {
  const { gear } = scene.columns;
  if (gear === null) return null;
  const times = scene.track.timesMs;
  const creeps = (row: number) => gear[row] < 0 && !heldAt(scene.columns, row);
  let last = -1;
  for (let row = 0; row < scene.track.length; row++) {
    if (times[row] >= transfer.time.high) break;
    if (times[row] >= notBeforeMs && creeps(row)) last = row;
  }
  if (last < 0) return null;
  let first = last;
  // Held for a moment, it goes on; held longer, another run begins (contract: a standstill of 3 s or more).
  for (let row = last - 1; row >= 0 && gear[row] < 0 && times[first] - times[row] <= shortestStandMs; row--)
    if (creeps(row)) first = row;
  const before = Math.max(0, first - 1);
  const after = Math.min(scene.track.length - 1, last + 1);
  return {
    kind: 'reverse',
    start: widened(times[before], times[first], transfer.onset.high),
    end: interval(times[last], times[after]),
    metres: interval(0, ((times[after] - times[before]) / 1000) * (6 / 3.6)),
    firstRow: first,
    lastRow: last,
  };
}

/** Reverse gear may be in for a while before the vehicle creeps. */
function widened(lowMs: number, gearMs: number, onsetMs: number): Interval {
  return interval(lowMs, Math.max(gearMs, Math.min(onsetMs, gearMs + 60_000)), gearMs);
}

export function weighRise(scene: Scene, transfer: Transfer, backing: Move | null, state: Coupled): Weighed {
  const weighed = notAtOnce(
    scene,
    transfer,
    besideTheLightest(scene, transfer.to, weigh(scene, transfer, backing, state)),
  );
  // A tractor that backs under with empty springs teaches no bobtail level.
  return emptySprings(scene, transfer.from) ? { ...weighed, teaches: false } : weighed;
}

function weigh(scene: Scene, transfer: Transfer, backing: Move | null, state: Coupled): Weighed {
  const isOut = state === 'off';
  const thoughtOn = state === 'on';
  const refused: Weighed = { confidence: 0, teaches: false };
  const { from, to } = transfer;
  const { bobtail } = scene.levels;
  const prompt = backing !== null && transfer.onset.low <= backing.end.high + promptSeconds * 1000;
  const seconds = secondsOfChange(scene, transfer);
  if (bobtail === null) {
    const lifted = mayLift(scene, !scene.gearReported);
    if (backing === null || to < (lifted ? liftedRise : unknownRise) * from) return refused;
    // No tractor is known to weigh so much alone: believed when a second transfer says the same.
    if (from > usualBobtail(scene)) return { confidence: 0, teaches: prompt && seconds < 120 };
    // On empty springs: what fills them is the valve, until a pull against set brakes tells otherwise.
    if (emptySprings(scene, from))
      return tuggedAfter(scene, transfer, backing) ? { confidence: 0.75, teaches: false } : refused;
    const sure = scene.gearReported ? 0.95 : 0.85;
    const share = shareOnArrival(scene, to - from, transfer.before.toMs, transfer.time.high);
    if (prompt && share >= leastOnArrival)
      return { confidence: seconds < 120 ? sure : sure - 0.1, teaches: scene.gearReported || seconds < 30 };
    const afterMs = transfer.onset.low - backing.end.best;
    // A pull against set brakes after the backing is done under no trailer that was on before.
    const tugged = afterMs < longestLegsMs && tuggedAfter(scene, transfer, backing);
    if (prompt && tugged && to > 1.4 * from) return { confidence: 0.85, teaches: false };
    // So light that no trailer can have been on: whatever came on since the backing is one.
    const alone = scene.vehicle?.driveAxles !== undefined && !lifted;
    if (alone && afterMs < longestLegsMs && to > 1.6 * from) return { confidence: 0.85, teaches: false };
    if (isOut && seconds < 120) return { confidence: 0.75, teaches: false };
    if (seconds < 40 && afterMs < 25_000 && !prompt) return { confidence: 0.6, teaches: false };
    if (tugged && seconds < 120 && to > 1.6 * from) return { confidence: 0.75, teaches: false };
    return refused;
  }
  const above = from - bobtail;
  const near = Math.max(scene.tolerance.distinct(from, bobtail), 0.1 * (to - bobtail));
  if (above > near && !isOut) return refused;
  // From empty springs up to bobtail: a refill, whatever the truck did meanwhile.
  if (to - bobtail <= scene.tolerance.distinct(to, bobtail)) return refused;
  if (backing === null) return isOut && !emptySprings(scene, from) ? { confidence: 0.6, teaches: false } : refused;
  // A trailer is thought to be on already: either that one was left unseen, or this is none.
  if (thoughtOn) return { confidence: prompt ? 0.85 : 0.75, teaches: prompt };
  if (prompt) return { confidence: scene.gearReported ? 0.99 : 0.97, teaches: true };
  return { confidence: seconds < 90 ? 0.95 : 0.88, teaches: false };
}

/** Whether a tug test followed a backing, before the truck moved on. */
function tuggedAfter(scene: Scene, transfer: Transfer, backing: Move): boolean {
  const toMs = Math.min(backing.end.best + tugWithinMs, transfer.after.fromMs);
  return findTugTests(scene, backing.end.best, toMs).length > 0;
}
