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

/** A view of the track's rows: they must stay as they are for as long as the series is in use. */
export class LoadSeries {
  readonly length: number;
  readonly times: Float64Array;
  readonly raw: Float64Array;
  /** Row of the track that each sample came from; null where every row is a sample. */
  readonly #rows: Int32Array | null;
  #smooth: Float64Array | null = null;

  /** A change-only source says by its silence that nothing changed: its value stands at every row of the vehicle. */
  constructor(track: Track, signal: SignalName, cadence: Cadence) {
    const column = cadence.mode === 'change-only' ? standingValues(track, signal, cadence) : track.column(signal);
    const values = column ?? none;
    const rows = column === null ? null : rowsReported(column);
    this.raw = rows === null ? values : picked(values, rows);
    this.times = rows === null ? track.timesMs.subarray(0, values.length) : picked(track.timesMs, rows);
    this.#rows = rows;
    this.length = this.raw.length;
  }

  get smooth(): Float64Array {
    this.#smooth ??= smoothed(this.times, this.raw);
    return this.#smooth;
  }

  /** Row of the track that a sample came from. */
  rowOf(sample: number): number {
    return this.#rows?.[sample] ?? sample;
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

const none = new Float64Array(0);

/** Rows in which a column has a value; null where all have. */
function rowsReported(column: Float64Array): Int32Array | null {
  let count = 0;
  for (let row = 0; row < column.length; row++) if (!Number.isNaN(column[row])) count += 1;
  if (count === column.length) return null;
  const rows = new Int32Array(count);
  let i = 0;
  for (let row = 0; row < column.length; row++) if (!Number.isNaN(column[row])) rows[i++] = row;
  return rows;
}

function picked(values: Float64Array, rows: Int32Array): Float64Array {
  const out = new Float64Array(rows.length);
  for (let i = 0; i < rows.length; i++) out[i] = values[rows[i]];
  return out;
}

function smoothed(times: Float64Array, raw: Float64Array): Float64Array {
  const out = raw.slice();
  for (let k = 1; k < raw.length - 1; k++) {
    const dense = times[k] - times[k - 1] <= denseMs && times[k + 1] - times[k] <= denseMs;
    if (dense) out[k] = medianOfThree(raw[k - 1], raw[k], raw[k + 1]);
  }
  return out;
}
