/** How many rows of one vehicle there were, from when to when, and how many of them reported each signal. */
import { type SignalName, signalCount, signalIndex } from '@gearhold/signals';

export class ReportTally {
  rows = 0;
  /** First and last row, ms since the epoch; NaN before the first. */
  firstMs = Number.NaN;
  lastMs = Number.NaN;
  readonly #reports = new Float64Array(signalCount);

  /** Takes a row: `values` holds the signals from `offset`, NaN where not reported. */
  add(timeMs: number, values: Float64Array, offset: number): void {
    if (this.rows === 0) this.firstMs = timeMs;
    this.lastMs = timeMs;
    this.rows += 1;
    for (let s = 0; s < signalCount; s++) if (!Number.isNaN(values[offset + s]!)) this.#reports[s]! += 1;
  }

  /** Rows that reported a signal. */
  of(signal: SignalName): number {
    return this.#reports[signalIndex[signal]]!;
  }
}
