/**
 * What flows between the operators: readings in batches of plain columns, so that no stage has to know how a parser
 * spells a row. Time is milliseconds since 1970-01-01T00:00:00Z (fractions kept). NaN means *not reported*, which is
 * never the same as zero.
 */
import { signalCount } from './catalogue.ts';

export interface ReadingBatch {
  /** Rows in use, from 0. */
  readonly length: number;
  /** Which of the run's input files each row came from, as its index: lateness is judged within a file. */
  readonly fileIndex: number;
  readonly vehicleIds: readonly string[];
  readonly driverIds: readonly (string | null)[];
  /** ms since the epoch, one a row. */
  readonly timesMs: Float64Array;
  /** Row-major: value of signal `s` in row `r` at `r * signalCount + s`. NaN = not reported. */
  readonly values: Float64Array;
}

/** Collects rows into batches of at most `capacity`. */
export class BatchBuilder {
  readonly capacity: number;
  readonly fileIndex: number;
  #length = 0;
  #vehicleIds: string[] = [];
  #driverIds: (string | null)[] = [];
  #timesMs: Float64Array;
  #values: Float64Array;

  constructor(fileIndex: number, capacity = 512) {
    this.fileIndex = fileIndex;
    this.capacity = capacity;
    this.#timesMs = new Float64Array(capacity);
    this.#values = new Float64Array(capacity * signalCount);
  }

  get length(): number {
    return this.#length;
  }

  get full(): boolean {
    return this.#length === this.capacity;
  }

  /** Where the values of the row to come are written: signal `s` at `offset + s`. */
  get values(): Float64Array {
    return this.#values;
  }

  get offset(): number {
    return this.#length * signalCount;
  }

  /** Begins a row, with no signal reported; the caller checks {@link full} first. A row that is not added is begun again. */
  begin(): void {
    const { offset } = this;
    for (let s = 0; s < signalCount; s++) this.#values[offset + s] = Number.NaN;
  }

  /** Adds the row that was begun. */
  add(vehicleId: string, driverId: string | null, timeMs: number): void {
    this.#vehicleIds.push(vehicleId);
    this.#driverIds.push(driverId);
    this.#timesMs[this.#length] = timeMs;
    this.#length += 1;
  }

  /** Hands the batch over and starts a new one. */
  take(): ReadingBatch {
    const batch: ReadingBatch = {
      length: this.#length,
      fileIndex: this.fileIndex,
      vehicleIds: this.#vehicleIds,
      driverIds: this.#driverIds,
      timesMs: this.#timesMs,
      values: this.#values,
    };
    this.#length = 0;
    this.#vehicleIds = [];
    this.#driverIds = [];
    this.#timesMs = new Float64Array(this.capacity);
    this.#values = new Float64Array(this.capacity * signalCount);
    return batch;
  }
}
