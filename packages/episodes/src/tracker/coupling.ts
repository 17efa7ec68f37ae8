/**
 * Assembles a coupling from what was found: approach, contact, seated, tug tests, departure, in the order in which the CDL
 * manual teaches them (AAMVA model manual, section 6, steps 10, 6, 10, 11; departure follows step 16).
 */
import { type Interval, interval } from '../bounds/interval.ts';
import type { CouplingMilestones } from '../episode.ts';
import type { Move } from '../motion/moves.ts';
import { type ReverseRun, reverseRun } from './backing.ts';
import { inOrder, type Pair } from './milestone-order.ts';
import type { Scene } from './scene.ts';
import type { Transfer } from './transfer.ts';
import { findTugTests } from './tug-tests.ts';

/** Travel that makes a move a departure and not a nudge, m (common practice). */
const departureMetres = 3;
/** A move of which less than this is certain may have been a pull against set brakes, m. */
const surelyMovedMetres = 1;
/** A further push back within this of the first may be what seats the kingpin, ms (common practice). */
const secondPushMs = 20_000;
/** From the first of the load to the kingpin's seat the plate has about a metre to go, ms at walking pace. */
const rollsOnMs = 2000;

/** A lift axle that goes up adds at most this share to what the drive axles carry (common practice). */
const liftShare = 0.35;
/** A level that rests for longer on its way up was no plate on its ramps, ms. */
const restedMs = 10_000;

/** The load may come on only once the legs are cranked up: contact and seated have no order between them. */
const order: readonly Pair<CouplingMilestones>[] = [
  ['approachTime', 'contactTime'],
  ['approachTime', 'seatedTime'],
  ['seatedTime', 'departureTime'],
  ['contactTime', 'departureTime'],
];

export function couplingMilestones(scene: Scene, transfer: Transfer, backing: Move | null): CouplingMilestones {
  const contactTime = contactOf(scene, transfer, backing);
  const run = backing === null ? null : reverseRun(scene, backing, transfer.time.high);
  const approachTime = run?.start ?? null;
  const seatedTime = run === null ? null : seatedAfter(scene, run, transfer.onset);
  const settledMs = seatedTime?.best ?? transfer.time.best;
  const departure = scene.moves.find(
    (move) =>
      move.start.best >= settledMs &&
      move.start.best >= transfer.time.low &&
      move.metres.best >= departureMetres &&
      move.metres.low >= surelyMovedMetres,
  );
  const untilMs = departure?.start.low ?? scene.track.timesMs[scene.track.length - 1];
  const tugTestTimes = seatedTime === null ? [] : findTugTests(scene, seatedTime.best - 500, untilMs);
  const departureTime = departure?.start ?? null;
  return inOrder({ approachTime, contactTime, seatedTime, tugTestTimes, departureTime }, order);
}

/** The kingpin is home when the backing ends; a second push right after it may have been needed. */
function seatedAfter(scene: Scene, backing: ReverseRun, onset: Interval): Interval {
  let high = backing.end.high;
  let end = backing.end.high;
  // Load that begins to come on as the truck seems to have stopped says that it rolls on, whatever the brake does.
  if (onset.low <= end && onset.high >= backing.end.low) high = Math.max(high, onset.high + rollsOnMs);
  for (const move of scene.moves) {
    if (move.start.best <= backing.end.best) continue;
    if (move.kind !== 'reverse' || move.start.low - end > secondPushMs) break;
    end = move.end.high;
    high = Math.max(high, end);
  }
  return interval(backing.end.low, high, backing.end.best);
}

/**
 * When the load began to come on. Where that was long after the backing had ended, a slighter beginning under the sensor's
 * noise is looked for: a level a little higher after the backing than before it leaves the contact open back to it.
 */
function contactOf(scene: Scene, transfer: Transfer, backing: Move | null): Interval {
  const onset = beyondLift(scene, transfer);
  if (backing === null || onset.low <= backing.end.high) return onset;
  const before = scene.series.levelBefore(backing.start.best, 15_000, 3);
  const after = scene.series.window(backing.end.best, onset.low);
  if (before.count >= 3 && after.count >= 3 && after.level - before.level <= 0.25 * scene.tolerance.sample)
    return onset;
  return interval(backing.start.low, onset.high, onset.best);
}

/**
 * The onset, where a lift axle that goes up in reverse may have made it: the trailer surely touches only once the level is
 * further up than such an axle takes it. Where the level rested on the way there, it was the axle of a truck that has one,
 * and may have been that of a truck of which nobody says whether it has.
 */
function beyondLift(scene: Scene, transfer: Transfer): Interval {
  const { onset, from, time } = transfer;
  const { series, tolerance, vehicle } = scene;
  if (vehicle?.liftAxle === false) return onset;
  const most = (1 + liftShare) * from + tolerance.sample;
  let beyond = series.indexAt(onset.high);
  while (beyond < series.length && series.times[beyond] < time.high && series.smooth[beyond] <= most) beyond += 1;
  const high = Math.max(onset.high, Math.min(time.high, series.times[beyond] ?? time.high));
  const rests = high - onset.high >= restedMs;
  if (vehicle?.liftAxle !== true) return rests ? interval(onset.low, high, onset.best) : onset;
  if (!rests) return interval(onset.low, high, onset.best);
  const rested = series.window(onset.high, high).level;
  let still = beyond - 1;
  while (series.times[still] > onset.high && series.smooth[still] > rested + tolerance.sample) still -= 1;
  return interval(onset.low, high, Math.min(high, Math.max(onset.best, series.times[still])));
}
