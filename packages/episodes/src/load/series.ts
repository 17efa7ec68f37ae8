/**
 * The load signal of one vehicle as a series of its own: only the rows that report it, with what a detector asks of it:
 * levels in a window of time, and where the series last crossed a level. Times ms, values in the signal's unit.
 *
 * `smooth` is the running median of three where samples are dense (no more than 2.5 s apart), which removes single
 * outliers and leaves every step where it is; where samples are sparse each stands for itself.
 */
import type { SignalName } from '@gearhold/signals';
import type { Cadence, Track } from '../evidence.ts';
import { medianInPlace, medianOfThree } from '../statistics/robust.ts';
import { standingValues } from '../track/standing-values.ts';

const denseMs = 2500;

export interface Window {
  /** Median of the samples, NaN where there are none. */
  readonly level: number;
  readonly count: number;
}

export class LoadSeries {
  readonly length: number;
  readonly times: Float64Array;
  readonly raw: Float64Array;
  readonly smooth: Float64Array;
  /** Row of the track that each sample came from. */
  readonly rows: Int32Array;

  /** A change-only source says by its silence that nothing changed: its value stands at every row of the vehicle. */
  constructor(track: Track, signal: SignalName, cadence: Cadence) {
    const column = cadence.mode === 'change-only' ? standingValues(track, signal, cadence) : track.column(signal);
    const times = track.timesMs;
    let count = 0;
    if (column !== null) for (let row = 0; row < column.length; row++) if (!Number.isNaN(column[row])) count += 1;
    this.length = count;
    this.times = new Float64Array(count);
    this.raw = new Float64Array(count);
    this.smooth = new Float64Array(count);
    this.rows = new Int32Array(count);
    let i = 0;
    if (column !== null) {
      for (let row = 0; row < column.length; row++) {
        if (Number.isNaN(column[row])) continue;
        this.times[i] = times[row];
        this.raw[i] = column[row];
        this.rows[i] = row;
        i += 1;
      }
    }
    for (let k = 0; k < count; k++) {
      const dense =
        k > 0 &&
        k < count - 1 &&
        this.times[k] - this.times[k - 1] <= denseMs &&
        this.times[k + 1] - this.times[k] <= denseMs;
      this.smooth[k] = dense ? medianOfThree(this.raw[k - 1], this.raw[k], this.raw[k + 1]) : this.raw[k];
    }
  }

  /** First sample at or after a time; `length` where there is none. */
  indexAt(timeMs: number): number {
    let low = 0;
    let high = this.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (this.times[middle] < timeMs) low = middle + 1;
      else high = middle;
    }
    return low;
  }

  /** Median of the samples in [from, to], both inclusive. */
  window(fromMs: number, toMs: number): Window {
    const from = this.indexAt(fromMs);
    let to = from;
    while (to < this.length && this.times[to] <= toMs) to += 1;
    const count = to - from;
    return { level: count === 0 ? Number.NaN : medianInPlace(this.raw.slice(from, to)), count };
  }

  /** Median of the last samples up to `toMs`: those within `spanMs`, but at least `atLeast` where there are as many after `notBeforeMs`. */
  levelBefore(toMs: number, spanMs: number, atLeast: number, notBeforeMs = Number.NEGATIVE_INFINITY): Window {
    let to = this.indexAt(toMs);
    if (to < this.length && this.times[to] === toMs) to += 1;
    let from = to;
    while (
      from > 0 &&
      this.times[from - 1] >= notBeforeMs &&
      (to - from < atLeast || this.times[from - 1] >= toMs - spanMs)
    )
      from -= 1;
    return { level: to === from ? Number.NaN : medianInPlace(this.raw.slice(from, to)), count: to - from };
  }

  /** Like {@link levelBefore}, looking ahead. */
  levelAfter(fromMs: number, spanMs: number, atLeast: number, notAfterMs = Number.POSITIVE_INFINITY): Window {
    const from = this.indexAt(fromMs);
    let to = from;
    while (
      to < this.length &&
      this.times[to] <= notAfterMs &&
      (to - from < atLeast || this.times[to] <= fromMs + spanMs)
    )
      to += 1;
    return { level: to === from ? Number.NaN : medianInPlace(this.raw.slice(from, to)), count: to - from };
  }

  /**
   * Index of the last sample within [from, to) that lies on the given side of `level` and is followed by one that does not:
   * the crossing lies between it and the next. -1 where there is none.
   */
  lastCrossing(level: number, rising: boolean, from: number, to: number): number {
    for (let i = Math.min(to, this.length) - 2; i >= Math.max(0, from); i--) {
      const before = rising ? this.smooth[i] < level : this.smooth[i] > level;
      const after = rising ? this.smooth[i + 1] >= level : this.smooth[i + 1] <= level;
      if (before && after) return i;
    }
    return -1;
  }
}
