/**
 * Keys by vehicle: one tracker each. The same class serves a stream and a batch.
 */
import type { Episode } from './episode.ts';
import { VehicleTracker } from './tracker/vehicle-tracker.ts';
import type { Vehicle } from './vehicle.ts';

export interface FleetOptions {
  /** The vehicles file: what the fleet states of its trucks. */
  readonly vehicles?: readonly Vehicle[];
  /** Called with each episode as it closes, in the order of closing. */
  readonly onEpisode: (episode: Episode) => void;
}

export class FleetTracker {
  readonly #vehicles: Map<string, Vehicle>;
  readonly #onEpisode: (episode: Episode) => void;
  readonly #trackers = new Map<string, VehicleTracker>();
  #lastId = '';
  #last: VehicleTracker | null = null;

  constructor(options: FleetOptions) {
    this.#vehicles = latestEntries(options.vehicles ?? []);
    this.#onEpisode = options.onEpisode;
  }

  /**
   * Takes one row of one vehicle; each vehicle's rows in strictly increasing time, vehicles in any order.
   *
   * @param values the signals from `offset`, NaN where not reported
   */
  accept(vehicleId: string, timeMs: number, driverId: string | null, values: Float64Array, offset: number): void {
    if (vehicleId !== this.#lastId || this.#last === null) {
      this.#last = this.#trackers.get(vehicleId) ?? this.#start(vehicleId);
      this.#lastId = vehicleId;
    }
    this.#last.push(timeMs, driverId, values, offset);
  }

  /** The input has ended: what is open is reported as far as it was seen. */
  finish(): void {
    for (const tracker of this.#trackers.values()) tracker.finish();
  }

  /** Ends one vehicle and forgets it: for inputs that bring each vehicle's rows together. */
  finishVehicle(vehicleId: string): void {
    this.#trackers.get(vehicleId)?.finish();
    this.#trackers.delete(vehicleId);
    this.#last = null;
    this.#lastId = '';
  }

  #start(vehicleId: string): VehicleTracker {
    const tracker = new VehicleTracker(vehicleId, this.#vehicles.get(vehicleId) ?? null, this.#onEpisode);
    this.#trackers.set(vehicleId, tracker);
    return tracker;
  }
}

/** Of several entries of one vehicle the one valid from the latest date. */
function latestEntries(vehicles: readonly Vehicle[]): Map<string, Vehicle> {
  const latest = new Map<string, Vehicle>();
  for (const vehicle of vehicles) {
    const known = latest.get(vehicle.vehicleId);
    if (known === undefined || (vehicle.validFrom ?? '') >= (known.validFrom ?? ''))
      latest.set(vehicle.vehicleId, vehicle);
  }
  return latest;
}
