/**
 * Assembles a coupling from what was found: approach, contact, seated, tug tests, departure, in the order in which the CDL
 * manual teaches them (AAMVA model manual, section 6, steps 10, 6, 10, 11; departure follows step 16).
 */
import { type Interval, interval } from '../bounds/interval.ts';
import type { CouplingMilestones } from '../episode.ts';
import type { Move } from '../motion/moves.ts';
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

/** The load may come on only once the legs are cranked up: contact and seated have no order between them. */
const order: readonly Pair<CouplingMilestones>[] = [
  ['approachTime', 'contactTime'],
  ['approachTime', 'seatedTime'],
  ['seatedTime', 'departureTime'],
  ['contactTime', 'departureTime'],
];

export function couplingMilestones(scene: Scene, transfer: Transfer, backing: Move | null): CouplingMilestones {
  const contactTime = contactOf(scene, transfer, backing);
  const approachTime = backing?.start ?? null;
  const seatedTime = backing === null ? null : seatedAfter(scene, backing);
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
function seatedAfter(scene: Scene, backing: Move): Interval {
  let high = backing.end.high;
  let end = backing.end.high;
  for (const move of scene.moves) {
    if (move.start.best <= backing.end.best) continue;
    if (move.kind !== 'reverse' || move.start.low - end > secondPushMs) break;
    end = move.end.high;
    high = end;
  }
  return interval(backing.end.low, high, backing.end.best);
}

/**
 * When the load began to come on. Where that was long after the backing had ended, a slighter beginning under the sensor's
 * noise is looked for: a level a little higher after the backing than before it leaves the contact open back to it.
 */
function contactOf(scene: Scene, transfer: Transfer, backing: Move | null): Interval {
  const { onset } = transfer;
  if (backing === null || onset.low <= backing.end.high) return onset;
  const before = scene.series.levelBefore(backing.start.best, 15_000, 3);
  const after = scene.series.window(backing.end.best, onset.low);
  if (before.count >= 3 && after.count >= 3 && after.level - before.level <= 0.25 * scene.tolerance.sample)
    return onset;
  return interval(backing.start.low, onset.high, onset.best);
}
