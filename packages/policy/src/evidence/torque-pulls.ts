/**
 * The most pulls that torque leaves room for within a window: every rise and fall of torque in a forward gear, and every
 * stretch of forward gear without one. Generous on purpose: it bounds what a driver may have done.
 */
import type { Evidence } from '@gearhold/episodes';
import { type Samples, samplesOf, valueAt } from './samples.ts';
import type { Stretch } from './standing.ts';

/** Rise, and fall, of torque that may be a pull of its own, % of reference torque (assumed: three steps of the bus signal). */
const pullPct = 3;

/** Most pulls within the window, or null where torque was not reported at 1 Hz or faster through all of it. */
export function mostPulls(evidence: Evidence, window: Stretch): number | null {
  const torque = samplesOf(evidence, 'torquePct');
  if (torque.changeOnly || !covers(torque, window)) return null;
  const gear = samplesOf(evidence, 'gear');
  let pulls = 0;
  let forward = false;
  let rises = 0;
  let lowest = Number.POSITIVE_INFINITY;
  let highest = Number.NEGATIVE_INFINITY;
  const close = () => {
    // Forward gear without a rise may still be a pull at idle torque; without a gear signal only rises tell.
    if (forward) pulls += gear.times.length > 0 ? Math.max(1, rises) : rises;
    forward = false;
    rises = 0;
    lowest = Number.POSITIVE_INFINITY;
    highest = Number.NEGATIVE_INFINITY;
  };
  for (let i = 0; i < torque.times.length; i++) {
    if (torque.times[i]! < window.startMs || torque.times[i]! > window.endMs) continue;
    const engaged = valueAt(gear, torque.times[i]!);
    if (engaged <= 0) {
      close();
      continue;
    }
    const value = torque.values[i]!;
    // Torque may be up already in the first sample of forward gear: it rose from what it was before.
    if (!forward) lowest = torque.values[i - 1] ?? Number.NEGATIVE_INFINITY;
    forward = true;
    if (value < highest - pullPct) {
      lowest = value;
      highest = Number.NEGATIVE_INFINITY;
    }
    if (highest === Number.NEGATIVE_INFINITY && value > lowest + pullPct) {
      rises += 1;
      highest = value;
    }
    lowest = Math.min(lowest, value);
    if (highest !== Number.NEGATIVE_INFINITY) highest = Math.max(highest, value);
  }
  close();
  return pulls;
}

/** Whether samples follow each other closely enough from before the window to after it. */
function covers({ times, proofGapMs }: Samples, { startMs, endMs }: Stretch): boolean {
  let last = Number.NEGATIVE_INFINITY;
  for (const time of times) {
    if (time > startMs && time - Math.max(last, startMs - proofGapMs) > proofGapMs) return false;
    last = time;
    if (time >= endMs) return true;
  }
  return endMs - last <= proofGapMs;
}
