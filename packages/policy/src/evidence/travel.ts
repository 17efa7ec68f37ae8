/**
 * Metres travelled between two instants, at least and at most, from speed samples.
 *
 * Between two samples close enough to show no loss the speed lies between theirs; over longer gaps it may have fallen to
 * nothing or risen as fast as a truck can. A zero reading may hide up to the blind speed, unless something holds the
 * vehicle; under a pressed brake that speed falls to nothing within the ramp. Path length: which way is for the caller to
 * know. Times in ms since the epoch.
 */
import type { Evidence } from '@gearhold/episodes';
import { lastAtOrBefore, type Samples, samplesOf } from './samples.ts';
import { isBraked, rampMs, surelyStopped } from './standing.ts';

/** Fastest that a tractor gathers speed, and loses it, m/s2 (common practice, on the generous side). */
const launchMps2 = 2;
const brakeMps2 = 7;
const mps = 1 / 3.6;

/** Least path length between two instants, m. */
export function leastMetres(evidence: Evidence, fromMs: number, toMs: number): number {
  const speed = samplesOf(evidence, 'speedKph');
  let metres = 0;
  for (let i = Math.max(0, lastAtOrBefore(speed, fromMs)); i + 1 < speed.times.length && speed.times[i]! < toMs; i++) {
    const seconds = overlapSeconds(speed, i, fromMs, toMs);
    if (seconds <= 0) continue;
    const a = Math.max(0, speed.values[i]! - speed.silentBelow) * mps;
    const b = Math.max(0, speed.values[i + 1]! - speed.silentBelow) * mps;
    if (gapMs(speed, i) <= speed.proofGapMs) metres += Math.min(a, b) * seconds;
    // Of a long gap only the whole is bounded: the standstill may lie anywhere in it.
    else if (seconds * 1000 >= gapMs(speed, i)) metres += shortestWay(a, b, seconds);
  }
  return metres;
}

/** The least way, m, from one speed to another in a time: braked as hard and gathered as fast as a truck can. */
function shortestWay(from: number, to: number, seconds: number): number {
  if (from / brakeMps2 + to / launchMps2 <= seconds) return from ** 2 / (2 * brakeMps2) + to ** 2 / (2 * launchMps2);
  // Braked to the speed from which `to` is reached just in time.
  const lowest = (from / brakeMps2 + to / launchMps2 - seconds) / (1 / brakeMps2 + 1 / launchMps2);
  const slow = Math.max(0, Math.min(lowest, from, to));
  return (from ** 2 - slow ** 2) / (2 * brakeMps2) + (to ** 2 - slow ** 2) / (2 * launchMps2);
}

/** Greatest path length between two instants, m; Infinity where the samples do not reach over them. */
export function mostMetres(evidence: Evidence, fromMs: number, toMs: number): number {
  if (toMs <= fromMs) return 0;
  const speed = samplesOf(evidence, 'speedKph');
  const first = lastAtOrBefore(speed, fromMs);
  if (first < 0 || speed.times.at(-1)! < toMs) return Number.POSITIVE_INFINITY;
  let metres = 0;
  for (let i = first; i + 1 < speed.times.length && speed.times[i]! < toMs; i++) {
    const seconds = overlapSeconds(speed, i, fromMs, toMs);
    if (seconds <= 0) continue;
    const share = shareWhileBraking(evidence, speed, i, fromMs, toMs);
    metres += fastestKph(evidence, speed, i) * mps * seconds * share;
  }
  return metres;
}

/**
 * Share of the blind speed that a truck braked to a stop still has on average between zero sample `i` and the next, within the
 * two instants: it falls to 0 within the ramp, counted from the first of the zeros that the driver braked through. 1 where the
 * samples are no such zeros.
 */
function shareWhileBraking(evidence: Evidence, speed: Samples, i: number, fromMs: number, toMs: number): number {
  const braking = (j: number) => speed.values[j] === 0 && isBraked(evidence, speed.times[j]!);
  if (gapMs(speed, i) > speed.proofGapMs || !braking(i) || !braking(i + 1)) return 1;
  let first = i;
  while (first > 0 && speed.times[i]! - speed.times[first]! < rampMs && braking(first - 1)) {
    if (gapMs(speed, first - 1) > speed.proofGapMs) break;
    first -= 1;
  }
  const left = (timeMs: number) => Math.max(0, 1 - (timeMs - speed.times[first]!) / rampMs);
  const begin = Math.max(fromMs, speed.times[i]!);
  const end = Math.min(toMs, speed.times[i + 1]!);
  // The mean of a straight fall, cut off at nothing.
  return (rampMs / 2) * ((left(begin) ** 2 - left(end) ** 2) / (end - begin));
}

function gapMs(speed: Samples, i: number): number {
  return speed.times[i + 1]! - speed.times[i]!;
}

function overlapSeconds(speed: Samples, i: number, fromMs: number, toMs: number): number {
  return (Math.min(toMs, speed.times[i + 1]!) - Math.max(fromMs, speed.times[i]!)) / 1000;
}

/** Highest speed that fits between sample `i` and the next, km/h. */
function fastestKph(evidence: Evidence, speed: Samples, i: number): number {
  const a = speed.values[i]!;
  const b = speed.values[i + 1]!;
  const gap = gapMs(speed, i);
  const blind = Math.max(evidence.learned.blindSpeedKph, speed.silentBelow);
  if (gap > speed.standsMs || (gap > speed.proofGapMs && Math.max(a, b) > 0)) {
    return Math.max(a, b, blind) + (launchMps2 / mps) * (gap / 1000);
  }
  if (a === 0 && b === 0) return surelyStopped(evidence, speed, i) && surelyStopped(evidence, speed, i + 1) ? 0 : blind;
  return Math.max(a, b, blind) + speed.silentBelow;
}
