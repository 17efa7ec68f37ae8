/**
 * The same merge where rows come already sorted or all at hand: several files of one vehicle, each judged for lateness
 * by its own {@link LateGate}, end in the rows that one file with all of them would have given.
 */

import { signalCount } from '../catalogue.ts';
import { type EmitRow, InstantPool, type OrderCounts } from './instants.ts';

/** Rows of one vehicle as columns, in any order: `values` row-major, {@link signalCount} a row. */
export interface RowColumns {
  readonly length: number;
  readonly timesMs: Float64Array;
  readonly driverIds: readonly (string | null)[];
  readonly values: Float64Array;
}

/** Merges rows of one vehicle that come in non-decreasing time; holds one instant. */
export class InstantMerge {
  readonly #counts: OrderCounts;
  readonly #emit: EmitRow;
  readonly #pool = new InstantPool(1);
  #slot = -1;

  constructor(counts: OrderCounts, emit: EmitRow) {
    this.#counts = counts;
    this.#emit = emit;
  }

  /** Takes one row (copied). Throws a RangeError where time goes back: the caller sorts. */
  push(timeMs: number, driverId: string | null, values: Float64Array, offset: number): void {
    if (this.#slot >= 0) {
      const heldMs = this.#pool.timesMs[this.#slot]!;
      if (timeMs === heldMs) {
        this.#pool.merge(this.#slot, driverId, values, offset, this.#counts);
        return;
      }
      if (!(timeMs > heldMs)) throw new RangeError(`InstantMerge: ${timeMs} comes after ${heldMs}`);
      this.flush();
    }
    this.#slot = this.#pool.add(timeMs, driverId, values, offset);
  }

  /** Emits what is held: the end of the vehicle. */
  flush(): void {
    if (this.#slot < 0) return;
    const slot = this.#slot;
    this.#slot = -1;
    this.#emit(this.#pool.timesMs[slot]!, this.#pool.driverIds[slot]!, this.#pool.values, slot * signalCount);
    this.#pool.release(slot);
  }
}

/** Emits all rows of one vehicle in strictly increasing time, merged. */
export function orderRows(rows: RowColumns, counts: OrderCounts, emit: EmitRow): void {
  const times = rows.timesMs;
  const order = new Uint32Array(rows.length);
  let sorted = true;
  for (let i = 0; i < rows.length; i++) {
    order[i] = i;
    if (i > 0 && times[i]! < times[i - 1]!) sorted = false;
  }
  if (!sorted) order.sort((a, b) => times[a]! - times[b]! || a - b);
  const merge = new InstantMerge(counts, emit);
  for (const row of order) merge.push(times[row]!, rows.driverIds[row]!, rows.values, row * signalCount);
  merge.flush();
}
