/**
 * `load-lost-under-way`: slowest and fastest, km/h, that the truck can have been going when half of the fifth-wheel load was
 * gone: between the last sample surely above half and the first surely below it.
 */
import { errorOf, type Load, levelIn, loadOf } from './load.ts';
import { motion } from './motion.ts';
import { atMost, type Bounds, type Limits, type TrueAnchor, unknownBounds } from './row.ts';
import type { View } from './series.ts';

const levelMs = 60_000;
/** From the middle of the fall to levels before and after it, ms. */
const awayMs = 5000;
/** Between two samples the speed swings by so much, km/h (assumed). */
const swingKph = 0.5;
const kph = (metresASecond: number): number => metresASecond * 3.6;

export function loadLostUnderWay(view: View, episode: TrueAnchor, limits: Limits['loadLostUnderWay']): Bounds {
  const load = loadOf(view, episode);
  const at = episode.loadTransferTime;
  if (load === null || view.series('speedKph') === null) return unknownBounds;
  const before = levelIn(load.series, at - awayMs - levelMs, at - awayMs);
  const after = levelIn(load.series, at + awayMs, at + awayMs + levelMs);
  if (before === null || after === null || before - after <= 2 * load.tolerance) return unknownBounds;
  const between = halfGone(load, (before + after) / 2, at);
  if (between === null) return unknownBounds;
  const window = between;
  const rules = { window, loadMoves: Number.POSITIVE_INFINITY, backing: false } as const;
  const slowest = Math.min(...motion(view, { ...rules, proof: 'missed' }).map((cell) => cell.slowest));
  const fastest = Math.max(...motion(view, { ...rules, proof: 'met' }).map((cell) => cell.fastest));
  return atMost(limits.maxKph, Math.max(0, kph(slowest) - swingKph), kph(fastest) + swingKph);
}

/** Last instant before the fall surely above a level and first one after it surely below, or null where none is. */
function halfGone(load: Load, half: number, aboutMs: number): readonly [number, number] | null {
  const { samples } = load.series;
  const error = errorOf(load, samples.slice(0, 1));
  const above = samples.findLast((s) => s.timeMs <= aboutMs + awayMs && s.value - s.slack - error > half);
  if (above === undefined) return null;
  const below = samples.find((s) => s.timeMs > above.timeMs && s.value + s.slack + error < half);
  return below === undefined ? null : [above.timeMs, below.timeMs];
}
