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
