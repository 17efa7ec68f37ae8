/**
 * Anchors: one level for every stretch of travel long enough that the fifth-wheel load cannot have changed within it. An
 * episode is a boundary between two anchors of different level.
 *
 * A level that rises from one anchor to the next without any backing under is a refill of the same state (a dump or a leak
 * made good): a refill that stops at bobtail proves that the tractor was already out. Such anchors become one.
 */

import type { Move } from '../motion/moves.ts';
import type { Scene } from './scene.ts';

/** Travel that makes a stretch an anchor, metres: the contract's 'moves off by more than 5 m'. */
export const anchorMetres = 5;

/** No compressor fills springs beyond this, kPa (governors cut out at 830 to 930, common practice): the sensor is at its end. */
export const highestKpa = 950;

export interface Anchor {
  /** Level of the load while travelling, in its unit. */
  readonly level: number;
  /** Whether the level held: springs that were still filling or emptying teach nothing. */
  readonly settled: boolean;
  /** When the travel began and ended, ms. */
  readonly fromMs: number;
  readonly toMs: number;
  /** The move itself; null for the level the scene opens with. */
  readonly move: Move | null;
  /** The level from which the load came down to this one at standstill, with no trailer left as far as could be told. */
  readonly fellFrom?: number | undefined;
  /** The level from which the load last came down to this one, whatever that was taken for. */
  readonly cameFrom?: number | undefined;
}

/** Anchors of a scene after the one it opens with, before refills are merged. */
export function findAnchors(scene: Scene, opening: Anchor): Anchor[] {
  const anchors: Anchor[] = [opening];
  for (const move of scene.moves) {
    if (move.kind === 'reverse' || move.metres.best < anchorMetres || move.end.best <= opening.toMs) continue;
    const level = settledAfter(scene, move, levelOfMove(scene, move), anchors[anchors.length - 1].level);
    if (Number.isNaN(level) || (scene.signal === 'suspensionKpa' && level > highestKpa)) continue;
    anchors.push({ level, settled: holds(scene, move, level), fromMs: move.start.best, toMs: move.end.best, move });
  }
  return anchors;
}

/**
 * A reverse move is measured early, before the load of the trailer that it backs under comes on; any other late, after the
 * load of the trailer that it leaves is gone.
 */
function levelOfMove(scene: Scene, move: Move): number {
  const { series } = scene;
  const start = move.start.best;
  const end = move.end.best;
  const half = (start + end) / 2;
  const reach = 2 * scene.loadIntervalMs;
  if (move.kind === 'reverse') {
    const early = series.window(start, Math.min(half, start + 12_000));
    if (early.count >= 1) return early.level;
    return series.levelBefore(start, reach, 1, start - 15_000).level;
  }
  const late = series.window(Math.max(half, end - 12_000), end);
  if (late.count >= 1) return late.level;
  return series.levelAfter(half, reach, 1, end + 15_000).level;
}

/** Levelling goes on for some tens of seconds after the wheels have stopped, ms. */
const settlesWithinMs = 30_000;

/**
 * A load that was on its way as the move ended goes on at standstill: the level it comes to is the level of the move. Only
 * where the move itself had begun the change; what happens at standstill from a level that held is another matter.
 */
function settledAfter(scene: Scene, move: Move, level: number, previous: number): number {
  const { series, tolerance } = scene;
  // Of unknown direction, it may be the backing that takes a trailer, and what follows the trailer's load.
  if (move.kind === 'moving') return level;
  const next = scene.moves.find((m) => m.start.best > move.end.best);
  const untilMs = Math.min(move.end.best + settlesWithinMs, next?.start.low ?? Infinity);
  const later = series.levelBefore(untilMs, 6000, 2, move.end.best);
  if (later.count < 2 || Math.abs(later.level - level) <= tolerance.sample) return level;
  const begin = series.levelBefore(move.start.low, 5000, 2, move.start.low - 30_000);
  const atEnd = series.smooth[Math.max(0, series.indexAt(move.end.best) - 1)];
  const further = Math.sign(later.level - level);
  // On its way in the same direction at the end of the move as after it.
  const goesOn = further * (atEnd - (begin.count < 2 ? previous : begin.level)) > tolerance.sample;
  return goesOn ? later.level : level;
}

/** Whether the load was at the level for some seconds around the end of the move. */
function holds(scene: Scene, move: Move, level: number): boolean {
  const { series } = scene;
  const next = scene.moves.find((m) => m.start.best > move.end.best);
  const lastMs = Math.min(move.end.best + settlesWithinMs, next?.start.low ?? Infinity);
  const late = series.levelBefore(lastMs, 5000, 2, move.start.best);
  const early = series.levelBefore(lastMs - 7000, 5000, 2, move.start.best);
  if (late.count < 2 || early.count < 2) return false;
  const limit = Math.max(scene.tolerance.sample, 0.06 * scene.sprung(level));
  return Math.abs(late.level - early.level) <= limit && Math.abs(late.level - level) <= limit;
}
