/**
 * `airbags-restored`: lowest and highest speed, km/h, held for `sustainedSeconds` after the pull-out on exhausted springs. Not
 * asked where the springs were not exhausted.
 *
 * Springs are surely exhausted while two samples around lie near the bottom of the dump, and surely restored once one lies well
 * on the way back to the tractor's own level; between the two nobody can say.
 */
import { leastHeld, mostHeld } from './backing-above-idle.ts';
import { dumpEvidence } from './dump.ts';
import { errorOf, type Load, loadOf, mean } from './load.ts';
import { atMost, type Bounds, type Limits, type TrueAnchor, unknownBounds } from './row.ts';
import { firstAfter, type Sample, type Series, samplesIn, type View } from './series.ts';

/** Shares of the way from the bottom back up. */
const exhaustedShare = 0.15;
const restoredShare = 0.6;
/** Samples whose mean shows the bottom, and how long before the pull-out they are looked for. */
const bottomSamples = 3;
const bottomMs = 60_000;
const travelKph = 10;
const fewest = 5;
const afterMs = 120_000;
/** Between two samples the speed swings by so much, km/h (assumed). */
const swingKph = 0.5;
const mostBlindKph = 6;

interface Marks {
  readonly exhausted: number;
  readonly restored: number;
}

export function airbagsRestored(view: View, episode: TrueAnchor, limits: Limits['airbagsRestored']): Bounds {
  const load = loadOf(view, episode);
  const speed = view.series('speedKph');
  const pullMs = episode.milestones.pullOutTime ?? null;
  if (load === null || speed === null || pullMs === null) return unknownBounds;
  const dumped = dumpEvidence(view, load, episode, episode.milestones.standTime ?? episode.startTime, pullMs);
  if (dumped === 'excluded') return { ...unknownBounds, outcome: 'not-applicable' };
  const marks = dumped === 'certain' ? marksOf(view, load, episode, pullMs) : null;
  if (marks === null) return unknownBounds;

  const last = speed.samples.findLast((s) => s.timeMs <= episode.endTime + afterMs);
  if (last === undefined || last.timeMs <= pullMs) return unknownBounds;
  const window = [pullMs, last.timeMs] as const;
  const surely = masked(speed, (t) => around(load, t).every((s) => s !== null && s.value + s.slack <= marks.exhausted));
  const low = leastHeld(surely, window, limits.sustainedSeconds) - swingKph;
  const up = (t: number): boolean => {
    const [before] = around(load, t);
    return before !== null && before.value - before.slack >= marks.restored;
  };
  // Until the springs are seen to be up again, what they were on at a higher speed is open.
  if (!up(last.timeMs)) return atMost(limits.maxKph, Math.max(0, low), null);
  const possibly = masked(speed, (t) => !up(t));
  const most = mostHeld(possibly, window, limits.sustainedSeconds, Number.POSITIVE_INFINITY);
  const high = Math.max(most, view.known.blindSpeedKph ?? mostBlindKph, low);
  return atMost(limits.maxKph, Math.max(0, low), Number.isFinite(high) ? high : null);
}

/** Levels that tell exhausted from restored springs; null where they lie too close to each other. */
function marksOf(view: View, load: Load, episode: TrueAnchor, pullMs: number): Marks | null {
  const stood = samplesIn(load.series, pullMs - bottomMs, pullMs);
  const means = stood.slice(bottomSamples - 1).map((_, i) => mean(stood.slice(i, i + bottomSamples)));
  const travelling = load.series.samples.filter(
    (s) => s.timeMs > episode.endTime && (view.at('speedKph', s.timeMs)?.value ?? 0) > travelKph,
  );
  const own = view.known.bobtail ?? (travelling.length >= fewest ? mean(travelling) : null);
  if (means.length === 0 || own === null) return null;
  const bottom = Math.min(...means);
  const error = errorOf(load, [stood[0]]);
  const exhausted = bottom + exhaustedShare * (own - bottom) - error / 2;
  const restored = bottom + restoredShare * (own - bottom) + error;
  return own - bottom > 2 * error && restored < own ? { exhausted, restored } : null;
}

/** The load samples at or before, and after, an instant; null where one does not stand. */
function around(load: Load, timeMs: number): [Sample | null, Sample | null] {
  const { samples, standsMs } = load.series;
  const i = firstAfter(load.series, timeMs);
  const near = (s: Sample | undefined): Sample | null =>
    s !== undefined && Math.abs(s.timeMs - timeMs) <= standsMs ? s : null;
  return [near(samples[i - 1]), near(samples[i])];
}

/** The speed while something holds, 0 while it does not. */
function masked(speed: Series, while_: (timeMs: number) => boolean): Series {
  return { ...speed, samples: speed.samples.map((s) => (while_(s.timeMs) ? s : { ...s, value: 0, slack: 0 })) };
}
