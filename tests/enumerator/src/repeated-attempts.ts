/**
 * `repeated-attempts`: fewest and most tries within so many seconds before the last approach, that one included.
 *
 * Fewest: humps of the load, on and off again, with the tractor alone before and no more than a few metres driven in one go
 * since. Most: every time that the truck may have backed and come out again before the approach, load or no load.
 */
import { approachOf } from './approach.ts';
import { runWindows } from './backing-above-idle.ts';
import { errorOf, type Load } from './load.ts';
import { type Cell, motion } from './motion.ts';
import { atMost, type Bounds, type Limits, type TrueAnchor, unknownBounds } from './row.ts';
import { samplesIn, type View } from './series.ts';
import { metresIn } from './stands.ts';

/** A hump is so much of the transfer at its top; below the other share it is over. */
const humpShare = 0.3;
const overShare = 0.15;
/** Driven further than this in one go, the tractor stands at another trailer, m: common practice. */
const sameTrailerMetres = 20;
/** To back, come out and begin anew takes at least so long, ms: common practice. */
const leastTryMs = 5000;

export function repeatedAttempts(view: View, episode: TrueAnchor, limits: Limits['repeatedAttempts']): Bounds {
  if (view.series('speedKph') === null) return unknownBounds;
  const approach = approachOf(view, episode);
  const { shortest, longest } = runWindows(view, approach);
  const startMs = episode.milestones.approachTime ?? episode.startTime;
  const [earliest, latest] = [Math.min(longest[0], startMs), Math.max(shortest[0], startMs)];
  const windowMs = limits.withinSeconds * 1000;
  const humps =
    approach.load === null || approach.before === null
      ? []
      : humpsOf(approach.load, approach.before, latest - windowMs, earliest);
  const rules = { loadMoves: Number.POSITIVE_INFINITY, backing: true } as const;
  const cells = motion(view, { ...rules, proof: 'met', window: [earliest - windowMs, latest] });
  const low = 1 + humps.filter((endMs) => neverFar(cells, endMs, earliest)).length;
  if (view.rows[0].timeMs > earliest - windowMs) return atMost(limits.maxCount, low, null);
  return atMost(limits.maxCount, low, Math.max(low, 1 + mostTries(view, cells)));
}

/** Ends of the times at which load surely came on and surely went off again. */
function humpsOf(load: Load, bare: number, fromMs: number, toMs: number): number[] {
  const samples = samplesIn(load.series, fromMs, toMs);
  const ends: number[] = [];
  let state: 'unknown' | 'bare' | 'loaded' = 'unknown';
  for (let i = 1; i < samples.length; i++) {
    const pair = [samples[i - 1], samples[i]];
    const values = pair.map((s) => s.value - bare);
    const error = errorOf(load, [samples[i]]);
    if (Math.max(...values) <= overShare * load.transfer + error) {
      if (state === 'loaded') ends.push(samples[i].timeMs);
      state = 'bare';
    } else if (state === 'bare' && Math.min(...values) - error >= humpShare * load.transfer) state = 'loaded';
  }
  return ends;
}

/** Whether no forward movement between two instants can have led to another trailer. */
function neverFar(cells: readonly Cell[], fromMs: number, toMs: number): boolean {
  let metres = 0;
  for (const cell of cells) {
    if (cell.toMs <= fromMs || cell.fromMs >= toMs) continue;
    metres = cell.fastest === 0 || cell.way === 'reverse' ? 0 : metres + metresIn(cell, cell.fastest);
    if (metres > sameTrailerMetres) return false;
  }
  return true;
}

/** How often the truck can have backed and then come forward. */
function mostTries(view: View, cells: readonly Cell[]): number {
  let tries = 0;
  let backedMs = Number.NaN;
  let turned = false;
  let countedMs = Number.NEGATIVE_INFINITY;
  for (const cell of cells) {
    // Between backing and coming forward the truck stands for an instant.
    if (cell.slowest === 0) turned = true;
    // In neutral it rolls on the way it went, and begins no other.
    if (cell.fastest === 0 || (cell.way === 'unknown' && view.at('gear', cell.fromMs)?.value === 0)) continue;
    if (!Number.isNaN(backedMs) && turned && cell.way !== 'reverse' && cell.fromMs - countedMs >= leastTryMs) {
      tries += 1;
      countedMs = cell.fromMs;
      backedMs = Number.NaN;
    }
    if (cell.way === 'forward') continue;
    if (Number.isNaN(backedMs)) {
      backedMs = cell.fromMs;
      turned = false;
    }
  }
  return tries;
}
