/**
 * Rows of many vehicles, handed on a block a vehicle at a time. In a file whose rows alternate between vehicles each row
 * would touch another vehicle's state, all over memory; a block keeps that state at hand for as long as it lasts. Order
 * within a vehicle stays; order between vehicles means nothing.
 */
import { signalCount } from '@gearhold/signals';
import type { Tracker } from './engine.ts';

const usualBlockRows = 64;

interface Block {
  length: number;
  readonly timesMs: Float64Array;
  readonly driverIds: (string | null)[];
  readonly values: Float64Array;
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
    block.timesMs[row] = timeMs;
    block.driverIds[row] = driverId;
    const to = row * signalCount;
    for (let s = 0; s < signalCount; s++) block.values[to + s] = values[offset + s]!;
    block.length = row + 1;
    if (block.length === this.#blockRows) this.#handOn(vehicleId, block);
  }

  /** Hands on what is held of every vehicle: the end of the input. */
  flush(): void {
    for (const [vehicleId, block] of this.#blocks) this.#handOn(vehicleId, block);
  }

  #start(vehicleId: string): Block {
    const block: Block = {
      length: 0,
      timesMs: new Float64Array(this.#blockRows),
      driverIds: new Array<string | null>(this.#blockRows).fill(null),
      values: new Float64Array(this.#blockRows * signalCount),
    };
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
