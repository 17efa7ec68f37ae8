/**
 * Engine speed in place of the accelerator: r/min above the vehicle's own idle at the time.
 *
 * Cold-weather fast idle, air build-up and exhaust cleaning raise it without the foot. So speed that was raised before the run
 * began, or that stays level, proves nothing against the driver; the idle at the time is at least what the engine did just
 * before the run. Idle is at most the lowest speed so far.
 */
import type { Coupling } from '@gearhold/episodes';
import type { BackingWindow } from './backing-window.ts';
import { type Held, possiblyHeld, provenHeld } from './held-level.ts';
import { lastAtOrBefore, type Samples } from './samples.ts';

export interface EngineFinding {
  readonly value: number;
  readonly low: number;
  readonly high: number | null;
  readonly held: Held | null;
  /** Sentence that says why nothing is proven, where that is so. */
  readonly why: string;
}

/** An engine below this is starting or stopping, r/min (common practice). */
const runningRpm = 400;
/** How long before the run the engine is looked at for a raised idle, ms. */
const beforeMs = 3000;
/** Engine speed that varies by less than this holds level, r/min (assumed: several times a governor's ripple). */
const levelRpm = 60;

/** Bounds of engine speed above idle, or null where the idle speed is not known. */
export function enginePedal(
  episode: Coupling,
  rpm: Samples,
  window: BackingWindow,
  sustainedSeconds: number,
  maxRpmAboveIdle: number,
  holeMs: number,
): EngineFinding | null {
  const idle = episode.evidence.learned.idleRpm;
  if (idle === null) return null;
  const sustainedMs = sustainedSeconds * 1000;
  const possible = possiblyHeld(rpm, window.possible, sustainedMs, holeMs);
  const high = possible === null ? null : Math.max(0, possible - idle);
  const seen = provenHeld(episode.evidence, rpm, window.best, 0);
  const value = Math.max(0, (seen?.level ?? idle) - idle);
  const nothing = (why: string): EngineFinding => ({ value, low: 0, high, held: null, why });
  if (window.sure === null) return nothing('the readings do not show when the last reversing began and ended.');
  const before = highestBefore(rpm, window.possible.startMs);
  if (before === null) return nothing('engine speed was not reported just before the reversing.');
  const idleAtTheTime = Math.max(idle, before);
  if (before > idle + maxRpmAboveIdle) return nothing('engine speed was already raised before the reversing began.');
  const held = provenHeld(episode.evidence, rpm, window.sure, sustainedMs);
  if (held === null) return nothing('engine speed was not reported often enough while reversing.');
  const low = Math.max(0, held.level - idleAtTheTime);
  if (low > maxRpmAboveIdle && staysLevel(rpm, window, idleAtTheTime + maxRpmAboveIdle)) {
    return nothing('engine speed was raised but level, as a fast idle is.');
  }
  return {
    value,
    low,
    high: high === null ? null : Math.max(high, low),
    held,
    why: 'no reading proves a raised engine speed held inside the reversing.',
  };
}

/** Highest speed of the running engine just before the run, or null where none was reported. */
function highestBefore(rpm: Samples, startMs: number): number | null {
  let highest: number | null = null;
  for (let i = lastAtOrBefore(rpm, startMs); i >= 0 && rpm.times[i]! >= startMs - beforeMs; i--) {
    if (rpm.values[i]! >= runningRpm) highest = Math.max(highest ?? 0, rpm.values[i]!);
  }
  return highest;
}

/**
 * Whether the raised speed never leaves one level: between its first and last raised sample, which may lie on the ramps, it
 * varies no more than a governor does. Fewer samples than that show nothing else.
 */
function staysLevel(rpm: Samples, window: BackingWindow, raisedAbove: number): boolean {
  const sure = window.sure!;
  const stretches: number[][] = [[]];
  for (let i = 0; i < rpm.times.length; i++) {
    if (rpm.times[i]! < sure.startMs || rpm.times[i]! > sure.endMs) continue;
    if (rpm.values[i]! > raisedAbove) stretches.at(-1)!.push(rpm.values[i]!);
    else stretches.push([]);
  }
  return stretches.every((stretch) => {
    const inner = stretch.slice(1, -1);
    return inner.length < 2 || Math.max(...inner) - Math.min(...inner) < levelRpm;
  });
}
