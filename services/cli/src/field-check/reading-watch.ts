/** Which rows of the sheet have readings at all: a truck that sent nothing can be neither found nor missed. */
import type { ReadingBatch } from '@gearhold/signals';
import type { Watched } from './watched.ts';

export class ReadingWatch {
  readonly #byVehicle: ReadonlyMap<string, readonly Watched[]>;
  readonly #seen = new Set<Watched>();
  readonly #marginMs: number;

  /** A reading within `marginSeconds` of the watch counts. */
  constructor(rows: readonly Watched[], marginSeconds: number) {
    this.#byVehicle = Map.groupBy(rows, ({ vehicleId }) => vehicleId);
    this.#marginMs = marginSeconds * 1000;
  }

  batch({ length, vehicleIds, timesMs }: ReadingBatch): void {
    for (let i = 0; i < length; i++) {
      const rows = this.#byVehicle.get(vehicleIds[i]!);
      if (rows === undefined) continue;
      const time = timesMs[i]!;
      for (const row of rows) {
        if (row.fromMs - this.#marginMs <= time && time <= row.untilMs + this.#marginMs) this.#seen.add(row);
      }
    }
  }

  hasReadings(row: Watched): boolean {
    return this.#seen.has(row);
  }
}
