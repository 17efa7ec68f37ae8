/**
 * What the load says as it is looked at: whether it has settled, a trailer was taken or the springs emptied, the level of an
 * input that ends at standstill, and that of a truck on the road. Times ms, levels in the unit of the load.
 */
import type { Anchor } from './anchors.ts';
import type { Scene } from './scene.ts';

/** Whether the last samples agree with those before them, and those with theirs: some suspensions level in steps. */
export function isSettled(scene: Scene, timeMs: number): boolean {
  const { series, tolerance, loadIntervalMs } = scene;
  const span = Math.max(7000, 2 * loadIntervalMs);
  const late = series.levelBefore(timeMs, span, 2);
  const middle = series.levelBefore(timeMs - span, span, 2);
  const early = series.levelBefore(timeMs - 2 * span, span, 2);
  if (late.count === 0 || middle.count === 0 || early.count === 0) return false;
  const limit = Math.max(0.5 * tolerance.sample, 0.035 * scene.sprung(Math.max(late.level, middle.level)));
  return Math.abs(late.level - middle.level) <= limit && Math.abs(middle.level - early.level) <= limit;
}

/** The level at the end of an input that ends at standstill, as an anchor without travel. */
export function standingTail(scene: Scene, opening: Anchor, timeMs: number): Anchor | null {
  const end = scene.series.levelBefore(timeMs, 8000, 3);
  if (end.count < 2) return null;
  const last = scene.moves.at(-1);
  const fromMs = Math.max(opening.toMs, last?.end.best ?? opening.toMs);
  return { level: end.level, settled: true, fromMs, toMs: timeMs, move: null };
}

/** Whether the load is far above what it was at the anchor. */
export function hasTaken(scene: Scene, { level }: Anchor, timeMs: number): boolean {
  const now = scene.series.levelBefore(timeMs, 5000, 2).level;
  return now - level > scene.tolerance.distinct(now, level);
}

/** Whether the level lies so low that only empty springs explain it. */
export function looksDumped(scene: Scene, { level }: Anchor, timeMs: number): boolean {
  const now = scene.series.levelBefore(timeMs, 5000, 2).level;
  const { bobtail } = scene.levels;
  if (bobtail !== null) return scene.sprung(now) < 0.6 * scene.sprung(bobtail) - scene.noise;
  // An axle load has no empty springs until they were seen: the lightest level so far may be theirs, and is waited on.
  const least = scene.signal === 'axleLoadKg' && now <= scene.springs.perhapsEmptyAt ? 0.7 : 0.2;
  return scene.sprung(now) < least * scene.sprung(level);
}

/** Samples that the level of a truck on the road follows, and by how much. */
const followedSamples = 9;
const followedShare = 0.3;

/** A running level: part of the last samples of `column`, so that a slow drift is followed and a shaken sample is not. */
export function followed(level: number, column: Float64Array): number {
  let sum = 0;
  let count = 0;
  for (let row = column.length - 1; row >= 0 && count < followedSamples; row--) {
    if (Number.isNaN(column[row])) continue;
    sum += column[row];
    count += 1;
  }
  return count >= 3 ? level + followedShare * (sum / count - level) : level;
}
