/**
 * Assembles a coupling from what was found: approach, contact, seated, tug tests, departure, in the order in which the CDL
 * manual teaches them (AAMVA model manual, section 6, steps 10, 6, 10, 11; departure follows step 16).
 */
import { type Interval, interval } from '../bounds/interval.ts';
import type { CouplingMilestones } from '../episode.ts';
import type { Move } from '../motion/moves.ts';
import type { Scene } from './scene.ts';
import type { Transfer } from './transfer.ts';
import { findTugTests } from './tug-tests.ts';

/** Travel that makes a move a departure and not a nudge, m (common practice). */
const departureMetres = 3;
/** A further push back within this of the first may be what seats the kingpin, ms (common practice). */
const secondPushMs = 20_000;

export function couplingMilestones(scene: Scene, transfer: Transfer, backing: Move | null): CouplingMilestones {
  const contactTime = transfer.onset;
  const approachTime = backing?.start ?? null;
  const seatedTime = backing === null ? null : seatedAfter(scene, backing);
  const settledMs = seatedTime?.best ?? transfer.time.best;
  const departure = scene.moves.find(
    (move) =>
      move.start.best >= settledMs && move.start.best >= transfer.time.low && move.metres.best >= departureMetres,
  );
  const untilMs = departure?.start.low ?? scene.track.timesMs[scene.track.length - 1];
  return {
    approachTime,
    contactTime,
    seatedTime,
    tugTestTimes: seatedTime === null ? [] : findTugTests(scene, seatedTime.best - 500, untilMs),
    departureTime: departure?.start ?? null,
  };
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
