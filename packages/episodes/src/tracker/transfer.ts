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
export function crossingInstant(scene: Scene, sample: number, level: number): Interval {
  const { times, smooth, length } = scene.series;
  const low = times[sample];
  if (sample + 1 >= length) return interval(low, low);
  const high = times[sample + 1];
  const change = smooth[sample + 1] - smooth[sample];
  const share = change === 0 ? 0.5 : Math.min(1, Math.max(0, (level - smooth[sample]) / change));
  return interval(low, high, low + share * (high - low));
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
  const { series } = scene;
  const rising = to > from;
  const half = (from + to) / 2;
  const sample = series.lastCrossing(half, rising, first, last + 1);
  if (sample < 0) return null;
  const left = Math.max(scene.tolerance.sample, 0.1 * Math.abs(to - from));
  let still = sample;
  while (still > first && Math.abs(series.smooth[still] - from) > left && series.smooth[still] > from === rising)
    still -= 1;
  const onset = interval(series.times[still], series.times[Math.min(still + 1, series.length - 1)]);
  return { time: crossingInstant(scene, sample, half), onset, sample };
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
