/**
 * Watches for the level of the anchor being left: a running median of three samples goes into a control chart about that
 * level, and the first sample at which the chart signals is when it was left. Times ms, loads in the signal's unit.
 */
import { z } from 'zod';
import { fromJsonNumber, jsonNumber, toJsonNumber } from '../state/json-number.ts';
import { type CusumDesign, startCusum, stepCusum } from '../statistics/cusum.ts';
import { medianOfThree } from '../statistics/robust.ts';

/** A level is left when the load is off it by so much of the smallest transfer, or of the level itself, for some samples. */
const leftTransfer = 0.6;
const leftShare = 0.07;

/** The control chart that watches for a level being left: half of the shift is allowed, and twice the allowance signals. */
function changeChart(level: number, transfer: number, unsprung: number): CusumDesign {
  const shift = Math.max(leftTransfer * transfer, leftShare * (level - unsprung));
  return { target: level, allowance: shift / 2, limit: shift };
}

export const levelWatchState = z.strictObject({
  beforeLast: jsonNumber,
  last: jsonNumber,
  chart: z.strictObject({ target: jsonNumber, allowance: jsonNumber, limit: jsonNumber }),
  sums: z.strictObject({ high: jsonNumber, low: jsonNumber, highRun: z.number(), lowRun: z.number() }),
  changedMs: jsonNumber,
  lightest: jsonNumber,
});
export type LevelWatchState = z.infer<typeof levelWatchState>;

export class LevelWatch {
  #beforeLast = Number.NaN;
  #last = Number.NaN;
  #chart = changeChart(0, 0, 0);
  #sums = startCusum(this.#chart);
  #changedMs = Number.NaN;
  #lightest = Number.POSITIVE_INFINITY;

  /** The watch that {@link LevelWatch.state} was taken of. */
  static resume({ beforeLast, last, chart, sums, changedMs, lightest }: LevelWatchState): LevelWatch {
    const watch = new LevelWatch();
    watch.#beforeLast = fromJsonNumber(beforeLast);
    watch.#last = fromJsonNumber(last);
    watch.#chart = {
      target: fromJsonNumber(chart.target),
      allowance: fromJsonNumber(chart.allowance),
      limit: fromJsonNumber(chart.limit),
    };
    watch.#sums = { ...sums, high: fromJsonNumber(sums.high), low: fromJsonNumber(sums.low) };
    watch.#changedMs = fromJsonNumber(changedMs);
    watch.#lightest = fromJsonNumber(lightest, Number.POSITIVE_INFINITY);
    return watch;
  }

  state(): LevelWatchState {
    const { target, allowance, limit } = this.#chart;
    const { high, low, highRun, lowRun } = this.#sums;
    return {
      beforeLast: toJsonNumber(this.#beforeLast),
      last: toJsonNumber(this.#last),
      chart: { target: toJsonNumber(target), allowance: toJsonNumber(allowance), limit: toJsonNumber(limit) },
      sums: { high: toJsonNumber(high), low: toJsonNumber(low), highRun, lowRun },
      changedMs: toJsonNumber(this.#changedMs),
      lightest: toJsonNumber(this.#lightest),
    };
  }

  /** When the level was left; NaN while it holds. */
  get changedMs(): number {
    return this.#changedMs;
  }

  /** The lightest that the load ever was at standstill for two samples; infinite before that. */
  get lightest(): number {
    return this.#lightest;
  }

  /** Whether the last sample, not smoothed yet, agrees with the level. */
  get lastAgrees(): boolean {
    return Math.abs(this.#last - this.#chart.target) <= this.#chart.allowance;
  }

  /** From here on another level is watched, `unsprung` of it not on the springs; the samples go on. */
  watch(level: number, smallestTransfer: number, unsprung: number): void {
    this.#chart = changeChart(level, smallestTransfer, unsprung);
    this.#sums = startCusum(this.#chart);
    this.#changedMs = Number.NaN;
  }

  /** The samples so far do not belong to those that follow. */
  forgetSamples(): void {
    this.#beforeLast = Number.NaN;
    this.#last = Number.NaN;
  }

  /** Takes a sample; `held` where there is a level that may be left. */
  take(timeMs: number, load: number, held: boolean, standing: boolean): void {
    const smooth = medianOfThree(this.#beforeLast, this.#last, load);
    this.#beforeLast = this.#last;
    this.#last = load;
    if (standing && smooth < this.#lightest) this.#lightest = smooth;
    if (held && !Number.isNaN(smooth)) this.takeSmooth(timeMs, smooth);
  }

  /** Takes a sample that was smoothed already. */
  takeSmooth(timeMs: number, smooth: number): void {
    if (Number.isNaN(this.#changedMs) && stepCusum(this.#chart, this.#sums, smooth) !== null) this.#changedMs = timeMs;
  }
}
