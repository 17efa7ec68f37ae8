/**
 * The order stage of one file: one {@link VehicleOrder} a vehicle. Feed it the file's batches as they come; it hands on
 * each vehicle's rows in strictly increasing time. Vehicles do not wait for one another.
 */
import { signalCount } from '../catalogue.ts';
import type { ReadingBatch } from '../reading.ts';
import type { OrderCounts } from './instants.ts';
import { lateMsDefault } from './late.ts';
import { VehicleOrder } from './vehicle.ts';

/** Takes one ordered row of a vehicle; what is kept of `values` must be copied. */
export type EmitVehicleRow = (
  vehicleId: string,
  timeMs: number,
  driverId: string | null,
  values: Float64Array,
  offset: number,
) => void;

export interface ReorderOptions {
  readonly counts: OrderCounts;
  readonly emit: EmitVehicleRow;
  /** Bound on lateness in ms of event time; 30 000 unless given. */
  readonly lateMs?: number;
  /**
   * Rows of a vehicle handed on at once; 1 unless given, which suits a live stream. In a file whose rows alternate between
   * vehicles, more keep a vehicle's state at hand for as long as a block lasts.
   */
  readonly blockRows?: number;
  /** Told of each late row. Never called where the reader of the file judged lateness with the same bound. */
  readonly onLate?: (vehicleId: string, timeMs: number) => void;
}

export class ReorderBuffer {
  readonly #options: ReorderOptions;
  readonly #vehicles = new Map<string, VehicleOrder>();
  #lastId: string | null = null;
  #last: VehicleOrder | null = null;

  constructor(options: ReorderOptions) {
    this.#options = options;
  }

  get vehicleCount(): number {
    return this.#vehicles.size;
  }

  /** Takes one batch of the file, in the order of the file. */
  push(batch: ReadingBatch): void {
    const { vehicleIds, driverIds, timesMs, values } = batch;
    for (let row = 0; row < batch.length; row++) {
      const vehicleId = vehicleIds[row]!;
      if (vehicleId !== this.#lastId || this.#last === null) {
        this.#last = this.#orderOf(vehicleId);
        this.#lastId = vehicleId;
      }
      if (!this.#last.push(timesMs[row]!, driverIds[row]!, values, row * signalCount)) {
        this.#options.onLate?.(vehicleId, timesMs[row]!);
      }
    }
  }

  /** Emits what is held of every vehicle, and tells of each when nothing of it is left: the end of the file. */
  flush(ended?: (vehicleId: string) => void): void {
    for (const [vehicleId, vehicle] of this.#vehicles) {
      vehicle.flush();
      ended?.(vehicleId);
    }
  }

  #orderOf(vehicleId: string): VehicleOrder {
    let order = this.#vehicles.get(vehicleId);
    if (order === undefined) {
      const { counts, emit, lateMs = lateMsDefault, blockRows = 1 } = this.#options;
      order = new VehicleOrder(
        counts,
        (timeMs, driverId, values, offset) => emit(vehicleId, timeMs, driverId, values, offset),
        lateMs,
        blockRows,
      );
      this.#vehicles.set(vehicleId, order);
    }
    return order;
  }
}
