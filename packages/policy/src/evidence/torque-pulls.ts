/**
 * Pulls forward at standstill, by torque: the fewest that it proves within a window, and the most that it leaves room for.
 *
 * Fewest: stretches of samples in a forward gear, parking brake not applied, standing, with torque well above idle. Most:
 * every rise and fall of torque in a forward gear, and every stretch of forward gear without one.
 */
import type { Evidence } from '@gearhold/episodes';
import { type Samples, samplesOf, valueAt } from './samples.ts';
import type { Stretch } from './standing.ts';

/** Torque above that of the idling engine that is surely a pull, and below which the pull has ended, % of reference torque. */
const surePullPct = 10;
const endedPullPct = 4;

/** Fewest pulls within the window. */
export function fewestPulls(evidence: Evidence, window: Stretch): number {
  const torque = samplesOf(evidence, 'torquePct');
  const gear = samplesOf(evidence, 'gear');
  const brake = samplesOf(evidence, 'parkingBrake');
  const speed = samplesOf(evidence, 'speedKph');
  const inside = torque.values.filter((_, i) => torque.times[i]! >= window.startMs && torque.times[i]! <= window.endMs);
  inside.sort((a, b) => a - b);
  const idle = inside[inside.length >> 2];
  if (idle === undefined) return 0;
  let pulls = 0;
  let pulling = false;
  for (const [i, time] of torque.times.entries()) {
    if (time < window.startMs || time > window.endMs) continue;
    const above = torque.values[i]! - torque.silentBelow - idle;
    const free = valueAt(gear, time) > 0 && valueAt(brake, time) !== 1 && valueAt(speed, time) === 0;
    if (!pulling && free && above >= surePullPct) {
      pulls += 1;
      pulling = true;
    }
    if (above <= endedPullPct) pulling = false;
  }
  return pulls;
}

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
