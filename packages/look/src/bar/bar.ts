/**
 * The evidence bar: one small horizontal scale a check. A tick where the limit is, a bar from `low` to `high`. Wholly past the
 * limit: solid. Wholly within: outline. Across it, or not proven: hatched. Open-ended where unbounded. Here stands what every
 * drawing of it shares: what it holds, and where its parts lie along a scale of a given length.
 */

/** What the data prove: past the limit, within it, or neither. */
export type Proof = 'past' | 'within' | 'unproven';

export interface Scale {
  /** Where the left end stands, in `unit`. */
  readonly from: number;
  /** Where the right end stands; above `from`. */
  readonly to: number;
}

export interface EvidenceBar {
  readonly proof: Proof;
  /** What the true value can be; null = unbounded on that side. */
  readonly low: number | null;
  readonly high: number | null;
  /** Which side of the limit is within: at least it, or at most it. */
  readonly limit: { readonly side: 'atLeast' | 'atMost'; readonly value: number };
  /** Ends of the scale. Defaults to {@link usualScale}. */
  readonly scale?: Scale;
  /** Words at the ends of the scale and at the tick; null = none. */
  readonly labels: { readonly from: string; readonly to: string; readonly limit: string | null };
}

/** A scale that holds the limit and the bar with some room, from 0 where nothing is below it, to a round figure. */
export function usualScale(low: number | null, high: number | null, limit: number): Scale {
  const smallest = Math.min(0, low ?? 0, limit);
  const largest = Math.max(low ?? 0, high ?? 0, limit, smallest + Number.MIN_VALUE);
  const from = smallest < 0 ? -roundUp(-smallest * 1.1) : 0;
  return { from, to: roundUp(Math.max(largest, 0) * 1.2) };
}

/** The next of 1, 1.5, 2, 3, 4, 5, 6, 8, 10 times a power of ten; 1 for nothing. */
function roundUp(value: number): number {
  if (!(value > 1e-9)) return 1;
  const power = 10 ** Math.floor(Math.log10(value));
  const step = [1, 1.5, 2, 3, 4, 5, 6, 8].find((factor) => value <= factor * power * (1 + 1e-9)) ?? 10;
  return Number((step * power).toPrecision(3));
}

/** Where the parts of a bar lie along its scale, in units of its length; `from` < `to`. */
export interface BarPlaces {
  readonly tick: number;
  readonly from: number;
  readonly to: number;
  /** Whether the bar runs off the scale on that side because nothing bounds it. */
  readonly openFrom: boolean;
  readonly openTo: boolean;
}

/**
 * The places on a scale of `length`, in whole units. A bar is at least `least` long; one that is proven keeps `gap` off the tick
 * on its own side, however close the figures are, so that the drawing never says less, or more, than the verdict.
 */
export function placeBar(bar: EvidenceBar, length: number, least: number, gap: number): BarPlaces {
  const scale = bar.scale ?? usualScale(bar.low, bar.high, bar.limit.value);
  const at = (value: number) => {
    const place = Math.round(((value - scale.from) / (scale.to - scale.from)) * length);
    return Math.min(length, Math.max(0, place));
  };
  // Room for the least bar on either side of the tick.
  const tick = Math.min(length - least - gap, Math.max(least + gap, at(bar.limit.value)));
  let from = bar.low === null ? 0 : at(bar.low);
  let to = bar.high === null ? length : at(bar.high);
  let [min, max] = [0, length];
  if (bar.proof !== 'unproven') {
    if ((bar.proof === 'past') === (bar.limit.side === 'atLeast')) max = tick - gap;
    else min = tick + gap;
  }
  [from, to] = [Math.min(max, Math.max(min, from)), Math.min(max, Math.max(min, to))];
  if (to - from < least) {
    from = Math.min(max - least, Math.max(min, Math.floor((from + to - least) / 2)));
    to = from + least;
  }
  return { tick, from, to, openFrom: bar.low === null && from === 0, openTo: bar.high === null && to === length };
}
