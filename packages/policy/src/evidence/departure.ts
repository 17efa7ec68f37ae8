/**
 * Whether samples show the departure of a coupling, or only a value that had not yet lapsed: a judgement that rests on when the
 * truck left needs one that was taken while it did.
 */
import type { Evidence, Interval } from '@gearhold/episodes';
import { firstAfter, samplesOf } from './samples.ts';
import { surelyMoves } from './standing.ts';

/** Whether a speed sample within the departure, its earliest instant excluded, shows movement. */
export function departureShown(evidence: Evidence, departure: Interval): boolean {
  const speed = samplesOf(evidence, 'speedKph');
  for (let i = firstAfter(speed, departure.low); i < speed.times.length && speed.times[i]! <= departure.high; i++) {
    if (surelyMoves(speed, i)) return true;
  }
  return false;
}

/**
 * The departure up to a sample that shows the movement: one within it, or the very next after it, for gear and torque may tell of
 * the leaving before the speed sensor does. Null where no sample shows it.
 */
export function untilSeenMoving(evidence: Evidence, departure: Interval): Interval | null {
  if (departureShown(evidence, departure)) return departure;
  const speed = samplesOf(evidence, 'speedKph');
  const next = firstAfter(speed, departure.high);
  const time = speed.times[next];
  if (time === undefined || !surelyMoves(speed, next) || time - departure.high > speed.proofGapMs) return null;
  return { ...departure, high: time };
}
