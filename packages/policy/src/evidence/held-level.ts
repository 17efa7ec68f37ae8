/**
 * The highest level of a signal that was held for some time within a window: at least, and at most.
 *
 * Held is proven from the first to the last of consecutive samples at or above a level, none of them further from the next
 * than the source's own rhythm allows. It may have been held from the sample before to the sample after. Values in the
 * signal's unit, times in ms since the epoch.
 */
import type { Evidence } from '@gearhold/episodes';
import { firstAtOrAfter, type Samples } from './samples.ts';
import type { Stretch } from './standing.ts';

export interface Held {
  readonly level: number;
  /** First and last sample that show it. */
  readonly stretch: Stretch;
}

/** How far a truck's speed may swing between two samples that agree, km/h (common practice): granted against a proof. */
export const swingKph = 0.5;

/** Highest level proven held for `sustainedMs` within the window, or null where nothing is proven. */
export function provenHeld(evidence: Evidence, samples: Samples, window: Stretch, sustainedMs: number): Held | null {
  let best: Held | null = null;
  const { times, values } = samples;
  for (let i = firstAtOrAfter(samples, window.startMs); i < times.length && times[i]! <= window.endMs; i++) {
    if (!freshAt(evidence, samples, i)) continue;
    let level = values[i]!;
    for (let j = i; j < times.length && times[j]! <= window.endMs; j++) {
      if (j > i && times[j]! - times[j - 1]! > samples.proofGapMs) break;
      level = Math.min(level, values[j]!);
      if (best !== null && level <= best.level) break;
      if (times[j]! - times[i]! < sustainedMs) continue;
      best = { level, stretch: { startMs: times[i]!, endMs: times[j]! } };
      break;
    }
  }
  return best === null ? null : { level: best.level - samples.silentBelow, stretch: widest(samples, best, window) };
}

/** The whole run of consecutive samples at or above a held level. */
function widest(samples: Samples, held: Held, window: Stretch): Stretch {
  const { times, values } = samples;
  let first = firstAtOrAfter(samples, held.stretch.startMs);
  let last = firstAtOrAfter(samples, held.stretch.endMs);
  const joins = (i: number) => times[i + 1]! - times[i]! <= samples.proofGapMs;
  while (first > 0 && times[first - 1]! >= window.startMs && values[first - 1]! >= held.level && joins(first - 1))
    first--;
  while (last + 1 < times.length && times[last + 1]! <= window.endMs && values[last + 1]! >= held.level && joins(last))
    last++;
  return { startMs: times[first]!, endMs: times[last]! };
}

/** A row after a gap cannot be told from a stale copy of the row that was lost: it begins no proof. */
function freshAt(evidence: Evidence, samples: Samples, i: number): boolean {
  if (samples.changeOnly) return true;
  const row = samples.rows[i]!;
  return row > 0 && evidence.track.timesMs[row]! - evidence.track.timesMs[row - 1]! <= samples.proofGapMs;
}

/**
 * Highest level that may have been held for `sustainedMs` within the window, or null where a gap of more than `holeMs`
 * between samples could hide any.
 */
export function possiblyHeld(samples: Samples, window: Stretch, sustainedMs: number, holeMs: number): number | null {
  const { times, values } = samples;
  const within = (from: number, to: number) => Math.min(to, window.endMs) - Math.max(from, window.startMs);
  const longest = samples.changeOnly ? samples.proofGapMs : holeMs;
  let level = Number.NEGATIVE_INFINITY;
  for (let i = -1; i < times.length; i++) {
    const from = i < 0 ? Number.NEGATIVE_INFINITY : times[i]!;
    const to = i + 1 < times.length ? times[i + 1]! : Number.POSITIVE_INFINITY;
    const inside = within(from, to);
    if (inside >= 0 && to - from > longest && (inside >= sustainedMs || inside === window.endMs - window.startMs)) {
      return null;
    }
    if (i < 0 || to < window.startMs || (times[i - 1] ?? from) > window.endMs || values[i]! <= level) continue;
    let first = i;
    while (first > 0 && values[first - 1]! >= values[i]! && times[first]! > window.startMs) first--;
    let last = i;
    while (last + 1 < times.length && values[last + 1]! >= values[i]! && times[last]! < window.endMs) last++;
    const before = first > 0 ? times[first - 1]! : Number.NEGATIVE_INFINITY;
    const after = last + 1 < times.length ? times[last + 1]! : Number.POSITIVE_INFINITY;
    const room = within(before, after);
    const wholeWindow = window.endMs - window.startMs;
    if (room >= Math.min(sustainedMs, wholeWindow) && room > 0) level = values[i]!;
  }
  return level === Number.NEGATIVE_INFINITY ? null : level + samples.silentBelow;
}
