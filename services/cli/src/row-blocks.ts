/**
 * Rows of many vehicles, handed on a block a vehicle at a time. In a file whose rows alternate between vehicles each row
 * would touch another vehicle's state, all over memory; a block keeps that state at hand for as long as it lasts. Order
 * within a vehicle stays; order between vehicles means nothing.
 *
 * A vehicle of few rows costs little: its block grows with its rows, and its tracker begins with its first full block. A
 * column of row numbers read as vehicle ids must not fill the memory.
 */
import { signalCount } from '@gearhold/signals';
import type { Tracker } from './engine.ts';

const usualBlockRows = 64;
const firstBlockRows = 2;

interface Block {
  length: number;
  readonly driverIds: (string | null)[];
  timesMs: Float64Array;
  values: Float64Array;
}

export class RowBlocks {
  readonly #tracker: Tracker;
  readonly #blockRows: number;
  readonly #blocks = new Map<string, Block>();
  #lastId = '';
  #last: Block | null = null;

  constructor(tracker: Tracker, blockRows = usualBlockRows) {
    this.#tracker = tracker;
    this.#blockRows = blockRows;
  }

  get vehicleCount(): number {
    return this.#blocks.size;
  }

  /** Takes one row (copied). */
  add(vehicleId: string, timeMs: number, driverId: string | null, values: Float64Array, offset: number): void {
    if (vehicleId !== this.#lastId || this.#last === null) {
      this.#last = this.#blocks.get(vehicleId) ?? this.#start(vehicleId);
      this.#lastId = vehicleId;
    }
    const block = this.#last;
    const row = block.length;
    if (row === block.timesMs.length) grow(block, Math.min(this.#blockRows, 2 * row));
    block.timesMs[row] = timeMs;
    block.driverIds[row] = driverId;
    const to = row * signalCount;
    for (let s = 0; s < signalCount; s++) block.values[to + s] = values[offset + s]!;
    block.length = row + 1;
    if (block.length === this.#blockRows) this.#handOn(vehicleId, block);
  }

  /** Hands on what is held and ends each vehicle, one after the other: the end of the input. */
  flush(): void {
    for (const [vehicleId, block] of this.#blocks) {
      this.#handOn(vehicleId, block);
      this.#tracker.finishVehicle(vehicleId);
    }
  }

  #start(vehicleId: string): Block {
    const rows = Math.min(firstBlockRows, this.#blockRows);
    const values = new Float64Array(rows * signalCount);
    const block: Block = { length: 0, driverIds: [], timesMs: new Float64Array(rows), values };
    this.#blocks.set(vehicleId, block);
    return block;
  }

  #handOn(vehicleId: string, block: Block): void {
    const { timesMs, driverIds, values } = block;
    for (let row = 0; row < block.length; row++) {
      this.#tracker.accept(vehicleId, timesMs[row]!, driverIds[row]!, values, row * signalCount);
    }
    block.length = 0;
  }
}

function grow(block: Block, rows: number): void {
  const { timesMs, values } = block;
  block.timesMs = new Float64Array(rows);
  block.timesMs.set(timesMs);
  block.values = new Float64Array(rows * signalCount);
  block.values.set(values);
}
