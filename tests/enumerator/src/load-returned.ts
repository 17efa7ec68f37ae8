/**
 * `load-returned`: lowest and highest share of the fall, %, that came back onto the fifth wheel after release and was held for
 * `sustainedSeconds`, until the tractor moved on for good. It is counted from the lowest that the signal had come to, which
 * lags behind the load; and not below the tractor's own level, to which exhausted springs refill.
 */
import { errorOf, type Load, levelIn, loadOf, mean } from './load.ts';
import { atMost, type Bounds, type Limits, type TrueAnchor, unknownBounds } from './row.ts';
import { holds, type Sample, type View } from './series.ts';

const levelMs = 30_000;
const travelKph = 10;
const fewest = 5;
/** What road and levelling valve add to a level for a while, as a share of it: common practice. */
const shakenShare = 0.05;
/** Off but for this share of the fall: from there on what comes back has come back. */
const offShare = 0.1;
/** A fall of fewer errors than this tells nothing of what came back. */
const clearErrors = 4;

export function loadReturned(view: View, episode: TrueAnchor, limits: Limits['loadReturned']): Bounds {
  const load = loadOf(view, episode);
  const { pullOutTime, releaseTime } = episode.milestones;
  if (load === null || pullOutTime == null || releaseTime == null) return unknownBounds;
  const before = levelIn(load.series, episode.startTime - levelMs, episode.startTime);
  const own = ownLevel(view, load, episode);
  if (before === null || own === null) return unknownBounds;
  const error = errorOf(load, load.series.samples.slice(0, 1)) + shakenShare * own;
  const fall = before - own;
  if (fall < clearErrors * error) return unknownBounds;

  const { samples } = load.series;
  const begin = samples.findLastIndex((s) => s.timeMs <= pullOutTime);
  const end = samples.findIndex((s) => s.timeMs >= episode.endTime);
  if (begin < 0 || end < 0) return unknownBounds;
  const sustainedMs = limits.sustainedSeconds * 1000;
  const percent = (level: number): number => Math.max(0, (100 * level) / fall);
  const most = mostBack(load, begin, end, own, sustainedMs);
  const low = percent(leastBack(load, releaseTime, episode.endTime, own, fall, sustainedMs) - error);
  return atMost(limits.maxReturnedPct, low, most === null ? null : Math.max(low, percent(most + error)));
}

/** Level of the tractor alone: as known, else as it travels after the episode. */
function ownLevel(view: View, load: Load, episode: TrueAnchor): number | null {
  if (view.known.bobtail !== undefined) return view.known.bobtail;
  const travelling = load.series.samples.filter(
    (s) => s.timeMs > episode.endTime && (view.at('speedKph', s.timeMs)?.value ?? 0) > travelKph,
  );
  if (travelling.length >= fewest) return mean(travelling);
  return load.perKpa === 1
    ? episode.pressureAfterKpa
    : levelIn(load.series, episode.endTime, episode.endTime + levelMs);
}

/** What came back by each sample since the lowest one. */
function backBy(samples: readonly Sample[], own: number): number[] {
  let lowest = Number.POSITIVE_INFINITY;
  return samples.map((s) => {
    lowest = Math.min(lowest, s.value - s.slack);
    return s.value + s.slack - Math.max(lowest, own);
  });
}

/** Highest that consecutive samples prove to have been held after the load was off; 0 where nothing is. */
function leastBack(load: Load, fromMs: number, toMs: number, own: number, fall: number, sustainedMs: number): number {
  const { samples, links } = load.series;
  const off = samples.findIndex((s) => s.timeMs >= fromMs && s.value + s.slack <= own + offShare * fall);
  if (off < 0) return 0;
  let highest = 0;
  let lowest = Number.POSITIVE_INFINITY;
  for (let i = off; i < samples.length && samples[i].timeMs <= toMs; i++) {
    lowest = Math.min(lowest, samples[i].value);
    let least = Number.POSITIVE_INFINITY;
    for (let j = i; j < samples.length && samples[j].timeMs <= toMs; j++) {
      if (j > i && !holds(links[j - 1], 'missed')) break;
      least = Math.min(least, samples[j].value - samples[j].slack - Math.max(lowest, own));
      if (samples[j].timeMs - samples[i].timeMs < sustainedMs) continue;
      highest = Math.max(highest, least);
      break;
    }
  }
  return highest;
}

/** Highest that may have been held between two samples, or null where a hole may hide any. */
function mostBack(load: Load, begin: number, end: number, own: number, sustainedMs: number): number | null {
  const samples = load.series.samples.slice(begin, end + 1);
  const links = load.series.links.slice(begin, end);
  const hidden = links.some(
    (link, i) => !holds(link, 'met') && samples[i + 1].timeMs - samples[i].timeMs >= sustainedMs,
  );
  if (hidden) return null;
  const back = backBy(samples, own);
  let highest = 0;
  back.forEach((value, i) => {
    let [left, right] = [i, i];
    while (left > 0 && back[left - 1] >= value) left -= 1;
    while (right < back.length - 1 && back[right + 1] >= value) right += 1;
    const from = left === 0 ? Number.NEGATIVE_INFINITY : samples[left - 1].timeMs;
    const to = right === back.length - 1 ? Number.POSITIVE_INFINITY : samples[right + 1].timeMs;
    if (to - from >= sustainedMs) highest = Math.max(highest, value);
  });
  return highest;
}
