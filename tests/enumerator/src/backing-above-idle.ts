/**
 * `backing-above-idle`: lowest and highest accelerator position, % above released, that may have been held for
 * `sustainedSeconds` on the last reverse run; r/min above idle where no pedal is reported.
 *
 * Two windows: the shortest the run can have been, for `low`, and the longest, for `high`. In the first, held is from the
 * first to the last of consecutive samples no more than 1.5 s apart. In the second, held reaches to the neighbouring
 * samples, and a gap longer than `sustainedSeconds` and half a second may hide anything.
 */
import { type Approach, approachOf } from './approach.ts';
import { type Cell, surelyDriven } from './motion.ts';
import { atMost, type Bounds, type Limits, type TrueAnchor, unknownBounds } from './row.ts';
import { firstAfter, holds, type Sample, type Series, samplesIn, type View } from './series.ts';
import { seconds, stands } from './stands.ts';

type BackingLimits = Limits['backingAboveIdle'];
type Window = readonly [fromMs: number, toMs: number];

/** A released pedal reads at most this, %. */
const mostReleasedPct = 5;
const fullPedalPct = 100;
const runSeparatorSeconds = 3;
/** Engine speed before the run is looked at over this time. */
const beforeRunMs = 10_000;

export function backingAboveIdle(view: View, episode: TrueAnchor, limits: BackingLimits): Bounds {
  if (view.known.sloped === true || view.known.liftsTrailer === true)
    return { ...unknownBounds, outcome: 'not-applicable' };
  const approach = approachOf(view, episode);
  const { shortest, longest } = runWindows(view, approach);
  const pedal = view.series('acceleratorPct');
  if (pedal !== null) {
    const released = view.known.releasedPedalPct;
    const low = leastHeld(pedal, shortest, limits.sustainedSeconds) - (released ?? mostReleasedPct);
    const high = mostHeld(pedal, longest, limits.sustainedSeconds, fullPedalPct) - (released ?? 0);
    return atMost(limits.maxAcceleratorPct, Math.max(0, low), Math.max(0, high));
  }
  const rpm = view.series('engineRpm');
  if (rpm === null) return unknownBounds;
  return engineSpeed(rpm, view.known.idleRpm ?? lowestSoFar(rpm, approach.homeHighMs), shortest, longest, limits);
}

/** Engine speed that was raised before the run, or stays level in it, proves nothing: `low` counts only what came on top. */
function engineSpeed(rpm: Series, idle: number, shortest: Window, longest: Window, limits: BackingLimits): Bounds {
  const before = samplesIn(rpm, longest[0] - beforeRunMs, shortest[0]).map((s) => s.value);
  const inside = samplesIn(rpm, shortest[0], shortest[1]).map((s) => s.value);
  const base = before.length === 0 ? Number.POSITIVE_INFINITY : Math.max(...before, Math.min(...inside));
  const low = Math.max(0, leastHeld(rpm, shortest, limits.sustainedSeconds) - base);
  const high = mostHeld(rpm, longest, limits.sustainedSeconds, Number.POSITIVE_INFINITY) - idle;
  return atMost(limits.maxRpmAboveIdle, low, Number.isFinite(high) ? Math.max(0, high) : null);
}

function lowestSoFar(rpm: Series, untilMs: number): number {
  const running = samplesIn(rpm, Number.NEGATIVE_INFINITY, untilMs).filter((s) => s.value > 300);
  return Math.min(...running.map((s) => s.value));
}

// ---- The run.

/** The shortest and the longest that the last reverse run can have been. */
export function runWindows(view: View, approach: Approach): { shortest: Window; longest: Window } {
  return {
    shortest: [latestStart(view, approach), approach.homeLowMs],
    longest: [earliestStart(approach), approach.homeHighMs],
  };
}

/** Latest instant at which the run may have begun: the last end of anything that may separate it from what was before. */
function latestStart(view: View, approach: Approach): number {
  const until = Math.min(approach.contactHighMs, approach.homeLowMs);
  let latest = approach.possible[0].fromMs;
  const possible = approach.possible.map((cell) => (driven(view, cell) ? { ...cell, slowest: cell.fastest } : cell));
  for (const stand of stands(possible, 'slowest')) {
    const toMs = Math.min(stand.toMs, until);
    if ((toMs - stand.fromMs) / 1000 >= runSeparatorSeconds) latest = Math.max(latest, toMs);
  }
  // Forward movement may be any in a forward gear, and any in an unknown one that a stop may divide from the end of the run.
  const lastStop = possible.findLastIndex((cell) => cell.toMs <= until && cell.slowest === 0);
  const forward = possible.findLast(
    (cell, i) =>
      cell.toMs <= until && cell.fastest > 0 && (cell.way === 'forward' || (cell.way === 'unknown' && i <= lastStop)),
  );
  return Math.max(latest, forward?.toMs ?? latest);
}

function driven(view: View, cell: Cell): boolean {
  if (cell.slowest > 0 || cell.way !== 'reverse') return false;
  const around = samplesAround(view.series('speedKph'), cell.fromMs);
  return around !== null && surelyDriven(view, around[0].timeMs, around[1].timeMs);
}

function samplesAround(series: Series | null, timeMs: number): [Sample, Sample] | null {
  if (series === null) return null;
  const i = firstAfter(series, timeMs) - 1;
  return i < 0 || i + 1 >= series.samples.length ? null : [series.samples[i], series.samples[i + 1]];
}

/** Earliest instant at which the run may have begun: the last proven separator that was surely before the load. */
function earliestStart(approach: Approach): number {
  const until = Math.min(approach.contactLowMs, approach.homeLowMs);
  let earliest = approach.proven[0].fromMs;
  for (const stand of stands(approach.proven, 'fastest')) {
    if (stand.toMs <= until && seconds(stand) >= runSeparatorSeconds) earliest = Math.max(earliest, stand.toMs);
  }
  const forward = approach.proven.findLast((cell) => cell.toMs <= until && cell.way === 'forward' && cell.slowest > 0);
  return Math.max(earliest, forward?.toMs ?? earliest);
}

// ---- What was held.

/** Highest value that consecutive samples of the shortest window prove to have been held. */
export function leastHeld(series: Series, [fromMs, toMs]: Window, sustainedSeconds: number): number {
  let highest = 0;
  const { samples, links } = series;
  const inside = (s: Sample): boolean => s.timeMs >= fromMs && s.timeMs <= toMs;
  for (let i = 0; i < samples.length; i++) {
    if (!inside(samples[i])) continue;
    let least = Number.POSITIVE_INFINITY;
    for (let j = i; j < samples.length && inside(samples[j]); j++) {
      if (j > i && !holds(links[j - 1], 'missed')) break;
      least = Math.min(least, samples[j].value - samples[j].slack);
      if (samples[j].timeMs - samples[i].timeMs < sustainedSeconds * 1000) continue;
      highest = Math.max(highest, least);
      break;
    }
  }
  return highest;
}

/** Highest value that may have been held in the longest window; `most` where a gap may hide anything. */
export function mostHeld(series: Series, [fromMs, toMs]: Window, sustainedSeconds: number, most: number): number {
  const enough = (from: number, to: number): boolean =>
    Math.min(to, toMs) - Math.max(from, fromMs) >= sustainedSeconds * 1000;
  if (!enough(fromMs, toMs)) return 0;
  const { samples, links } = series;
  const first = samples.findLastIndex((s) => s.timeMs <= fromMs);
  const last = samples.findIndex((s) => s.timeMs >= toMs);
  // Before the first and after the last sample anything may have been.
  if (first < 0 && enough(fromMs, samples[0].timeMs)) return most;
  if (last < 0 && enough(samples[samples.length - 1].timeMs, toMs)) return most;
  const begin = Math.max(0, first);
  const end = last < 0 ? samples.length - 1 : last;
  for (let i = begin; i < end; i++) {
    const tooLong = samples[i + 1].timeMs - samples[i].timeMs > (sustainedSeconds + 0.5) * 1000;
    const shown = series.mode === 'change-only' && links[i] === 'shown';
    if (tooLong && !shown && enough(samples[i].timeMs, samples[i + 1].timeMs)) return most;
  }
  let highest = 0;
  for (let v = begin; v <= end; v++) {
    const value = samples[v].value + samples[v].slack;
    let left = v;
    while (left > begin && samples[left - 1].value + samples[left - 1].slack >= value) left -= 1;
    let right = v;
    while (right < end && samples[right + 1].value + samples[right + 1].slack >= value) right += 1;
    const from = left === begin ? Number.NEGATIVE_INFINITY : samples[left - 1].timeMs;
    const to = right === end ? Number.POSITIVE_INFINITY : samples[right + 1].timeMs;
    if (enough(from, to)) highest = Math.max(highest, value);
  }
  return highest;
}
