/**
 * `departure-inspection`: least and most standstill altogether, s, from the kingpin's seat to the first sample at trip speed
 * after the truck has left; unbounded above where no such sample is seen within two minutes of the episode.
 */
import { approachOf } from './approach.ts';
import { motion } from './motion.ts';
import { atLeast, type Bounds, type Limits, type TrueAnchor, unknownBounds } from './row.ts';
import { samplesIn, type View } from './series.ts';

/** Rows after an episode that belong to it. */
const afterMs = 120_000;

export function departureInspection(view: View, episode: TrueAnchor, limits: Limits['departureInspection']): Bounds {
  const departMs = episode.milestones.departureTime ?? null;
  const speed = view.series('speedKph');
  if (speed === null || departMs === null) return unknownBounds;
  const approach = approachOf(view, episode);
  const until = episode.endTime + afterMs;
  const after = samplesIn(speed, departMs, until);
  const trip = after.find((s) => s.value - s.slack >= limits.tripKph);
  const endMs = trip?.timeMs ?? after.at(-1)?.timeMs ?? departMs;
  const { low, high } = standingBetween(view, [approach.homeLowMs, approach.homeHighMs], endMs);
  return atLeast(limits.minSeconds, low, trip === undefined ? null : high);
}

/** Standstill altogether, s, from an instant between two to another: all that is proven, and all that is possible. */
function standingBetween(
  view: View,
  [earliestMs, latestMs]: readonly [number, number],
  endMs: number,
): { low: number; high: number } {
  const rules = { loadMoves: Number.POSITIVE_INFINITY, backing: false };
  const total = (proof: 'met' | 'missed', fromMs: number, speed: 'fastest' | 'slowest'): number => {
    if (!(fromMs < endMs)) return 0;
    const cells = motion(view, { ...rules, proof, window: [fromMs, endMs] });
    return cells.reduce((sum, cell) => sum + (cell[speed] === 0 ? cell.toMs - cell.fromMs : 0), 0) / 1000;
  };
  const low = total('met', latestMs, 'fastest');
  return { low, high: Math.max(low, total('missed', earliestMs, 'slowest')) };
}
