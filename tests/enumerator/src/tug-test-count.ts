/**
 * `tug-test-count`: fewest and most pulls against the trailer's set brakes within so many seconds of being seated. A pull is
 * a forward gear, released brakes, torque, and hardly any travel.
 *
 * Fewest: runs of neighbouring samples that show all of it, surely in time. Most: runs of samples that show some torque and
 * nothing against a pull; unbounded where a second passes without a sample of torque, since absence is provable only at
 * 1 Hz or faster.
 */
import { approachOf } from './approach.ts';
import { atLeast, type Bounds, type Limits, type TrueAnchor, unknownBounds } from './row.ts';
import { quantile, type Sample, samplesIn, type View } from './series.ts';

/** Torque above that of the idling engine, %: surely a pull, and possibly one. Common practice. */
const surePullPct = 10;
const possiblePullPct = 4;
/** At 1 Hz or faster, with room for a late row. */
const longestGapMs = 1500;

export function tugTestCount(view: View, episode: TrueAnchor, limits: Limits['tugTestCount']): Bounds {
  const torque = view.series('torquePct');
  if (torque === null) return { low: 0, high: null, outcome: 'undetermined' };
  const approach = approachOf(view, episode);
  if (!Number.isFinite(approach.homeHighMs)) return unknownBounds;
  const departMs = episode.milestones.departureTime ?? Number.POSITIVE_INFINITY;
  const withinMs = limits.withinSeconds * 1000;
  const sureUntil = approach.homeLowMs + withinMs;
  const possibleUntil = Math.min(approach.homeHighMs + withinMs, departMs);

  const samples = samplesIn(torque, approach.homeLowMs, possibleUntil + longestGapMs);
  const idle = quantile(
    samples.map((s) => s.value),
    0.25,
  );
  const sure = (s: Sample): boolean =>
    s.timeMs > approach.homeHighMs &&
    s.timeMs <= Math.min(sureUntil, departMs) &&
    s.value >= idle + surePullPct &&
    pulls(view, s, 'surely');
  const possible = (s: Sample): boolean => s.value >= idle + possiblePullPct && pulls(view, s, 'possibly');
  const low = runsOf(samples, sure);
  const ends = [approach.homeLowMs, ...samples.map((s) => s.timeMs), possibleUntil];
  const gapless = ends.slice(1).every((t, i) => t - ends[i] <= longestGapMs || ends[i] > possibleUntil);
  const high = gapless ? Math.max(low, runsOf(samples, possible)) : null;
  return atLeast(limits.minCount, low, high);
}

/** Whether the other signals say that it pulls, or nothing against it. */
function pulls(view: View, sample: Sample, how: 'surely' | 'possibly'): boolean {
  const gear = view.at('gear', sample.timeMs)?.value;
  const braked = view.flag('parkingBrake', sample.timeMs);
  const speed = view.at('speedKph', sample.timeMs)?.value;
  if (how === 'surely') return gear !== undefined && gear > 0 && braked !== true && speed === 0;
  return gear === undefined || gear > 0;
}

function runsOf(samples: readonly Sample[], shows: (s: Sample) => boolean): number {
  let runs = 0;
  samples.forEach((s, i) => {
    if (shows(s) && (i === 0 || !shows(samples[i - 1]))) runs += 1;
  });
  return runs;
}
