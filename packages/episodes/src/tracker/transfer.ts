/**
 * Load transfers: boundaries between two anchors. A rise is a coupling, or something that looks like one; a fall is an
 * uncoupling, or something that looks like one. This file places them in time; `rise.ts` and `fall.ts` weigh them.
 */
import { type Interval, interval } from '../bounds/interval.ts';
import type { Anchor } from './anchors.ts';
import type { Scene } from './scene.ts';

export interface Transfer {
  readonly from: number;
  readonly to: number;
  /** When half of the change was reached, ms. */
  readonly time: Interval;
  /** When the change began, ms: after the last sample still at the old level, before the first that has left it. */
  readonly onset: Interval;
  readonly before: Anchor;
  readonly after: Anchor;
}

/** What a weighing says: refused, or accepted with the probability that it is what it looks like. */
export interface Weighed {
  readonly confidence: number;
  /** Whether it is certain enough by itself to learn the truck's levels from. */
  readonly teaches: boolean;
}

/** The instant at which a crossing between two samples happened: in between, the best guess by the slope. */
function crossingInstant(scene: Scene, sample: number, level: number, target: number): Interval {
  const { times, smooth, length } = scene.series;
  if (sample + 1 < length && times[sample + 1] - times[sample] > silenceMs)
    return withinSilence(scene, sample, level, target);
  const low = times[sample];
  if (sample + 1 >= length) return interval(low, low);
  const high = times[sample + 1];
  const change = smooth[sample + 1] - smooth[sample];
  const share = change === 0 ? 0.5 : Math.min(1, Math.max(0, (level - smooth[sample]) / change));
  return interval(low, high, low + share * (high - low));
}

/** From here on a gap between samples is a silence, and a straight line across it a guess without ground, ms. */
const silenceMs = 20_000;

/**
 * A crossing that nobody saw. Where the load was on its way as the silence began, it went on towards its target, slower the
 * nearer it came, as springs fill through a valve; else the legs were cranked up in it, after the lines were connected and
 * before the last look round (common practice).
 */
function withinSilence(scene: Scene, sample: number, level: number, target: number): Interval {
  const { times, smooth } = scene.series;
  const low = times[sample];
  const high = times[sample + 1];
  const back = scene.series.indexAt(low - 6000);
  const now = smooth[sample];
  if (back < sample && Math.abs(now - smooth[back]) > scene.tolerance.sample) {
    const perMs = (now - smooth[back]) / (low - times[back]);
    const rate = perMs / (target - (now + smooth[back]) / 2);
    const neededMs = Math.log((target - now) / (target - level)) / rate;
    if (neededMs > 0 && neededMs < high - low) return interval(low, high, low + neededMs);
  }
  return interval(low, high, low + 0.4 * (high - low));
}

/**
 * Places the change from one level to another within samples [first, last] of the series: its half and its onset.
 * Null where the series does not cross between the two within them.
 */
export function placeChange(
  scene: Scene,
  from: number,
  to: number,
  first: number,
  last: number,
): { time: Interval; onset: Interval; sample: number } | null {
  const half = (from + to) / 2;
  const sample = lastingCrossing(scene, from, to, first, last);
  if (sample < 0) return null;
  const onset = placeOnset(scene, from, to, first, sample);
  return { time: crossingInstant(scene, sample, half, to), onset, sample };
}

/**
 * Half-way is known no better than to this share of the change, since no suspension settles twice at quite the same level, and
 * to so many noises of one sample.
 */
const unsureShare = 0.04;
const unsureNoise = 2.5;

/**
 * Whether the load rested so close to half-way that the crossing could as well have been elsewhere: ms between the crossings
 * of a little less and of a little more than half.
 */
export function spreadOfCrossing(scene: Scene, transfer: Transfer): number {
  const { series } = scene;
  const { from, to } = transfer;
  const near = Math.max(unsureShare * Math.abs(to - from), unsureNoise * scene.noise);
  const sign = Math.sign(to - from);
  const first = Math.max(0, series.indexAt(transfer.onset.low) - 1);
  const last = Math.min(series.length - 1, series.indexAt(transfer.after.toMs));
  const at = (shift: number) => {
    const sample = lastingCrossing(scene, from + shift, to + shift, first, last);
    return sample < 0 ? Number.NaN : series.times[sample];
  };
  const spread = at(sign * near) - at(-sign * near);
  return Number.isNaN(spread) ? 0 : Math.max(0, spread);
}

/** What follows a crossing must lie on its far side for this long, ms, and at least three samples. */
const sustainedMs = 30_000;

/**
 * The crossing of half-way that counts: the first one that lasts after the load was last at its old level. Noise about a
 * level half-way, where the legs still carry the rest, does not last; what a failed attempt does later is not of the change.
 */
function lastingCrossing(scene: Scene, from: number, to: number, first: number, last: number): number {
  const { series, tolerance } = scene;
  const rising = to > from;
  const sign = rising ? 1 : -1;
  const half = (from + to) / 2;
  const final = series.lastCrossing(half, rising, first, last + 1);
  if (final < 0) return -1;
  const near = Math.max(tolerance.sample, 0.15 * Math.abs(to - from));
  let i = final;
  while (i > Math.max(0, first) && sign * (series.smooth[i] - from) > near) i -= 1;
  for (; i < final; i++) {
    if (sign * (series.smooth[i] - half) >= 0 || sign * (series.smooth[i + 1] - half) < 0) continue;
    const after = series.levelAfter(series.times[i + 1], sustainedMs, 3);
    if (sign * (after.level - half) >= 0) return i;
  }
  return final;
}

/**
 * When a change began: before the first sample of it that has left the old level by more than noise explains. The lower
 * end goes back further where the samples before had begun to lean.
 */
function placeOnset(scene: Scene, from: number, to: number, first: number, sample: number): Interval {
  const { series } = scene;
  const sign = to > from ? 1 : -1;
  const left = scene.tolerance.sample;
  let still = sample;
  while (still > first && sign * (series.smooth[still] - from) > left) still -= 1;
  let lean = still;
  while (lean > first && lean > still - 3 && sign * (series.smooth[lean] - from) > 0.3 * left) lean -= 1;
  const low = series.times[lean];
  const high = series.times[Math.min(still + 1, series.length - 1)];
  return interval(low, high, series.times[still] + 0.3 * (high - series.times[still]));
}

/** Seconds that the change took from its onset to nine tenths of the way. */
export function secondsOfChange(scene: Scene, transfer: Transfer): number {
  const { series } = scene;
  const goal = transfer.from + 0.9 * (transfer.to - transfer.from);
  const rising = transfer.to > transfer.from;
  for (let i = series.indexAt(transfer.time.low); i < series.length; i++) {
    if (rising ? series.smooth[i] >= goal : series.smooth[i] <= goal) {
      return Math.max(0, series.times[i] - transfer.onset.best) / 1000;
    }
  }
  return Infinity;
}

/** Share of the lightest trailer's load below which a change is hardly that of a trailer. */
const lightShare = 0.5;
const lightConfidence = 0.7;

/** A change far smaller than that of the lightest trailer known is more likely a trailer touched than one taken or left. */
export function besideTheLightest(scene: Scene, coupled: number, weighed: Weighed): Weighed {
  const { bobtail, empty } = scene.levels;
  if (bobtail === null || empty === null || coupled - bobtail >= lightShare * (empty - bobtail)) return weighed;
  return { confidence: Math.min(weighed.confidence, lightConfidence), teaches: false };
}

/** The plate takes longer to slide on or off, and springs to answer, than this, s: two metres at walking pace. */
const atOnceSeconds = 1.3;
/** Where samples come more seldom, a change between two of them tells nothing of its speed, ms. */
const denseLoadMs = 1100;
const atOnceConfidence = 0.6;

/** A level that is another from one sample to the next is a sensor that was replaced, or its plug: nothing to learn from. */
export function notAtOnce(scene: Scene, transfer: Transfer, weighed: Weighed): Weighed {
  if (weighed.confidence === 0 || scene.loadIntervalMs > denseLoadMs) return weighed;
  if (transfer.time.high - transfer.time.low > denseLoadMs || secondsOfChange(scene, transfer) > atOnceSeconds)
    return weighed;
  if (wasSeenBetween(scene, transfer)) return weighed;
  const known = scene.levels.bobtail !== null;
  return { confidence: known ? Math.min(weighed.confidence, atOnceConfidence) : 0, teaches: false };
}

/** A sample that lies this far within the change, as a share of it, belongs to neither level. */
const betweenShare = 0.15;

/** Whether a sample shows the load on its way: a sensor that is replaced goes from one level to the other between two. */
function wasSeenBetween(scene: Scene, { from, to, onset, time }: Transfer): boolean {
  const { series, tolerance } = scene;
  const off = Math.max(tolerance.sample, betweenShare * Math.abs(to - from));
  for (let i = series.indexAt(onset.low); i < series.length && series.times[i] <= time.high + denseLoadMs; i++) {
    const level = series.raw[i];
    if (Math.min(Math.abs(level - from), Math.abs(level - to)) > off && (level - from) * (level - to) < 0) return true;
  }
  return false;
}
