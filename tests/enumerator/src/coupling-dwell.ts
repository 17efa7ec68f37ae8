/**
 * `coupling-dwell`: least and most standstill altogether, s, from the last tug test, or from the kingpin's seat where there
 * was none, until the truck leaves with the trailer.
 *
 * Least: counted from the last instant at which a pull may have come. Most: counted from the kingpin's seat, since what looks
 * like a pull need not have been a tug test.
 */
import { approachOf } from './approach.ts';
import { motion } from './motion.ts';
import { atLeast, type Bounds, type Limits, type TrueAnchor, unknownBounds } from './row.ts';
import { quantile, type Sample, samplesIn, type View } from './series.ts';

/** Torque above that of the idling engine that may be a pull, %: common practice. */
const pullPct = 4;
/** At 1 Hz or faster no pull goes unseen; with room for a late row. */
const longestGapMs = 1500;

export function couplingDwell(view: View, episode: TrueAnchor, limits: Limits['couplingDwell']): Bounds {
  const departMs = episode.milestones.departureTime ?? null;
  const speed = view.series('speedKph');
  if (speed === null || departMs === null) return unknownBounds;
  const approach = approachOf(view, episode);
  const leaving = speed.samples.find((s) => s.timeMs >= departMs && s.value - s.slack > 0);
  const endMs = leaving?.timeMs ?? speed.samples[speed.samples.length - 1].timeMs;
  const low = standing(view, 'met', lastPull(view, approach.homeHighMs, endMs), endMs);
  if (leaving === undefined) return atLeast(limits.minSeconds, low, null);
  return atLeast(limits.minSeconds, low, Math.max(low, standing(view, 'missed', approach.homeLowMs, endMs)));
}

/** Standstill altogether, s: all that is proven, or all that is possible. */
function standing(view: View, proof: 'met' | 'missed', fromMs: number, endMs: number): number {
  if (!(fromMs < endMs)) return 0;
  const cells = motion(view, { proof, window: [fromMs, endMs], loadMoves: Number.POSITIVE_INFINITY, backing: false });
  const speed = proof === 'met' ? 'fastest' : 'slowest';
  return cells.reduce((sum, cell) => sum + (cell[speed] === 0 ? cell.toMs - cell.fromMs : 0), 0) / 1000;
}

/**
 * Last instant at which a pull may have come. Where torque and gear are sampled often enough it is the last sample that may
 * show one and is not the leaving itself; else the last at which the truck was not secured before it was for the last time.
 */
function lastPull(view: View, fromMs: number, endMs: number): number {
  const torque = samplesIn(view.series('torquePct'), fromMs, endMs);
  const seen = view.series('torquePct')?.mode === 'periodic' && view.series('gear') !== null;
  if (seen && gapless(torque, fromMs, endMs)) {
    const idle = quantile(
      torque.map((s) => s.value),
      0.25,
    );
    const pulls = (s: Sample): boolean => s.value >= idle + pullPct && (view.at('gear', s.timeMs)?.value ?? 1) > 0;
    let leaving = torque.length;
    while (leaving > 0 && pulls(torque[leaving - 1])) leaving -= 1;
    const last = torque.slice(0, leaving).findLastIndex(pulls);
    return last < 0 ? fromMs : torque[last + 1].timeMs;
  }
  const rows = view.rows.filter((row) => row.timeMs >= fromMs && row.timeMs <= endMs);
  let i = rows.length - 1;
  while (i >= 0 && !secured(view, rows[i].timeMs)) i -= 1;
  if (i < 0) return endMs;
  while (i > 0 && secured(view, rows[i - 1].timeMs)) i -= 1;
  return rows[i].timeMs;
}

function gapless(samples: readonly Sample[], fromMs: number, endMs: number): boolean {
  const ends = [fromMs, ...samples.map((s) => s.timeMs), endMs];
  return ends.slice(1).every((t, i) => t - ends[i] <= longestGapMs);
}

/** Nobody pulls with the parking brake applied or in neutral. */
function secured(view: View, timeMs: number): boolean {
  return view.flag('parkingBrake', timeMs) === true || view.at('gear', timeMs)?.value === 0;
}
