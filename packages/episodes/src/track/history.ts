/**
 * The rows of one vehicle that may still matter: columns that grow at the end and are cut at the front. A column exists
 * from the first row that reports its signal. Times are ms since the epoch, strictly increasing; NaN = not reported.
 */
import { type SignalName, signalCount, signalIndex, signalNames } from '@gearhold/signals';
import { z } from 'zod';
import type { Track } from '../evidence.ts';
import { fromJsonNumber, jsonNumber, toJsonNumber } from '../state/json-number.ts';

const initialCapacity = 128;

export const historyState = z
  .strictObject({
    times: z.array(z.number()),
    /** Signals that were ever reported, by name, one value a row; empty where none of these rows reports it. */
    columns: z.partialRecord(z.enum(signalNames), z.array(jsonNumber)),
  })
  .refine(
    ({ times, columns }) => Object.values(columns).every(({ length }) => length === 0 || length === times.length),
    'a column is not as long as the times',
  );
export type HistoryState = z.infer<typeof historyState>;

export class History implements Track {
  length = 0;
  #times = new Float64Array(initialCapacity);
  /** The times in use, kept because a look asks for them over and over. */
  #view = this.#times.subarray(0, 0);
  readonly #columns: (Float64Array | null)[] = new Array(signalCount).fill(null);

  /** The rows that {@link History.state} was taken of. */
  static resume({ times, columns }: HistoryState): History {
    const history = new History();
    const length = times.length;
    let capacity = initialCapacity;
    while (capacity < length) capacity *= 2;
    history.length = length;
    history.#times = new Float64Array(capacity);
    history.#times.set(times);
    history.#view = history.#times.subarray(0, length);
    for (const [s, name] of signalNames.entries()) {
      const values = columns[name];
      if (values === undefined) continue;
      const column = new Float64Array(capacity).fill(Number.NaN);
      values.forEach((value, row) => {
        column[row] = fromJsonNumber(value);
      });
      history.#columns[s] = column;
    }
    return history;
  }

  state(): HistoryState {
    const columns: HistoryState['columns'] = {};
    for (const name of signalNames) {
      const column = this.column(name);
      if (column === null) continue;
      const reported = column.some((value) => !Number.isNaN(value));
      columns[name] = reported ? Array.from(column, toJsonNumber) : [];
    }
    return { times: Array.from(this.timesMs), columns };
  }

  get timesMs(): Float64Array {
    if (this.#view.length !== this.length || this.#view.buffer !== this.#times.buffer) {
      this.#view = this.#times.subarray(0, this.length);
    }
    return this.#view;
  }

  timeAt(row: number): number {
    return this.#times[row];
  }

  column(signal: SignalName): Float64Array | null {
    return this.#columns[signalIndex[signal]]?.subarray(0, this.length) ?? null;
  }

  /** Copies one row in. `values` holds {@link signalCount} numbers from `offset`. */
  append(timeMs: number, values: Float64Array, offset: number): void {
    if (this.length === this.#times.length) this.#grow();
    const row = this.length;
    this.#times[row] = timeMs;
    const columns = this.#columns;
    for (let s = 0; s < signalCount; s++) {
      const value = values[offset + s];
      const column = columns[s];
      if (column !== null) column[row] = value;
      // NaN is the only number unequal to itself.
      else if (!Number.isNaN(value)) columns[s] = this.#newColumn(row, value);
    }
    this.length = row + 1;
  }

  /** Makes a signal not reported from a row to the last. */
  blank(signal: SignalName, fromRow: number): void {
    this.#columns[signalIndex[signal]]?.fill(Number.NaN, fromRow, this.length);
  }

  /** Forgets the rows before `row`. */
  dropBefore(row: number): void {
    if (row <= 0) return;
    this.#times.copyWithin(0, row, this.length);
    for (const column of this.#columns) column?.copyWithin(0, row, this.length);
    this.length -= row;
  }

  /** Keeps only the rows for which `keep` is 1. Returns how many went. */
  retain(keep: Uint8Array): number {
    let to = 0;
    for (let from = 0; from < this.length; from++) {
      if (keep[from] !== 1) continue;
      if (to !== from) {
        this.#times[to] = this.#times[from];
        for (const column of this.#columns) if (column !== null) column[to] = column[from];
      }
      to += 1;
    }
    const gone = this.length - to;
    this.length = to;
    return gone;
  }

  /** First row at or after `timeMs`; `length` where there is none. */
  rowAtOrAfter(timeMs: number): number {
    let low = 0;
    let high = this.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (this.#times[middle] < timeMs) low = middle + 1;
      else high = middle;
    }
    return low;
  }

  /** A copy of rows `from` to `to` (exclusive) that later rows do not change. */
  copy(from: number, to: number): Track {
    const times = this.#times.slice(from, to);
    const columns = this.#columns.map((column) => {
      const part = column?.subarray(from, to);
      return part?.some((v) => !Number.isNaN(v)) ? part.slice() : null;
    });
    return { length: to - from, timesMs: times, column: (signal) => columns[signalIndex[signal]] };
  }

  #newColumn(row: number, value: number): Float64Array {
    const column = new Float64Array(this.#times.length).fill(Number.NaN);
    column[row] = value;
    return column;
  }

  #grow(): void {
    const capacity = this.#times.length * 2;
    const times = new Float64Array(capacity);
    times.set(this.#times);
    this.#times = times;
    for (let s = 0; s < signalCount; s++) {
      const column = this.#columns[s];
      if (column === null) continue;
      const grown = new Float64Array(capacity).fill(Number.NaN);
      grown.set(column);
      this.#columns[s] = grown;
    }
  }
}
