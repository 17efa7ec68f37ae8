/**
 * How long the intervals between a signal's reports are: a histogram in half octaves, by count and by the time that they
 * cover. It says whether a source keeps a beat over all that was seen of it, and not only lately: a signal that is sent on change
 * comes as regularly as a periodic one while it changes, and not at all while it rests. Times in ms.
 */
import { z } from 'zod';

const shortestMs = 100;
const bins = 32;
/** From half of the usual interval to where one sample was lost. */
const below = 2;
const above = 1;
/** Share of the time that regular intervals cover where the source keeps a beat. */
const regularShare = 0.8;

/** Bins that hold something: their place, how many intervals, and the ms that they cover. */
export const intervalsState = z
  .array(
    z.strictObject({
      bin: z
        .number()
        .int()
        .min(0)
        .max(bins - 1),
      count: z.number().int().min(1),
      covered: z.number(),
    }),
  )
  .max(bins);
export type IntervalsState = z.infer<typeof intervalsState>;

export class Intervals {
  readonly #counts = new Int32Array(bins);
  readonly #covered = new Float64Array(bins);

  /** The histogram that {@link Intervals.state} was taken of. */
  static resume(state: IntervalsState): Intervals {
    const intervals = new Intervals();
    for (const { bin, count, covered } of state) {
      intervals.#counts[bin] = count;
      intervals.#covered[bin] = covered;
    }
    return intervals;
  }

  state(): IntervalsState {
    const state: IntervalsState = [];
    for (let bin = 0; bin < bins; bin++)
      if (this.#counts[bin] > 0) state.push({ bin, count: this.#counts[bin], covered: this.#covered[bin] });
    return state;
  }

  observe(intervalMs: number): void {
    const bin = Math.min(bins - 1, Math.max(0, Math.round(2 * Math.log2(intervalMs / shortestMs))));
    this.#counts[bin] += 1;
    this.#covered[bin] += intervalMs;
  }

  /** Whether the intervals of one length cover nearly all of the time. */
  get keepBeat(): boolean {
    let count = 0;
    let covered = 0;
    for (let bin = 0; bin < bins; bin++) {
      count += this.#counts[bin];
      covered += this.#covered[bin];
    }
    let usual = 0;
    for (let seen = this.#counts[0]; usual < bins - 1 && 2 * seen < count; seen += this.#counts[usual]) usual += 1;
    let regular = 0;
    for (let bin = Math.max(0, usual - below); bin <= Math.min(bins - 1, usual + above); bin++)
      regular += this.#covered[bin];
    return count > 0 && regular >= regularShare * covered;
  }
}
