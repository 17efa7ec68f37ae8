/**
 * Keys by vehicle: one tracker each, which follows what the fleet states of the truck on the date of its rows. The same class
 * serves a stream and a batch.
 */
import type { Episode } from './episode.ts';
import type { LearnedVehicle } from './learned/learned-vehicle.ts';
import { addOddities, noOddities, type Oddities } from './oddities.ts';
import { VehicleTracker } from './tracker/vehicle-tracker.ts';
import { entriesByVehicle, nextValidMs, type Vehicle, validAt } from './vehicle.ts';

export interface FleetOptions {
  /** The vehicles file: what the fleet states of its trucks. */
  readonly vehicles?: readonly Vehicle[];
  /** Called with each episode as it closes, in the order of closing. */
  readonly onEpisode: (episode: Episode) => void;
}

interface Tracked {
  readonly tracker: VehicleTracker;
  readonly entries: readonly Vehicle[];
  /** From here on another entry of the vehicles file holds, ms. */
  restateMs: number;
}

export class FleetTracker {
  readonly #entries: ReadonlyMap<string, readonly Vehicle[]>;
  readonly #onEpisode: (episode: Episode) => void;
  readonly #tracked = new Map<string, Tracked>();
  #ended = noOddities;
  #lastId = '';
  #last: Tracked | null = null;

  constructor(options: FleetOptions) {
    this.#entries = entriesByVehicle(options.vehicles ?? []);
    this.#onEpisode = options.onEpisode;
  }

  /** What was strange about the rows so far, over all vehicles. */
  get oddities(): Oddities {
    let sum = this.#ended;
    for (const { tracker } of this.#tracked.values()) sum = addOddities(sum, tracker.oddities);
    return sum;
  }

  /**
   * Takes one row of one vehicle; each vehicle's rows in strictly increasing time, vehicles in any order.
   *
   * @param values the signals from `offset`, NaN where not reported
   */
  accept(vehicleId: string, timeMs: number, driverId: string | null, values: Float64Array, offset: number): void {
    if (vehicleId !== this.#lastId || this.#last === null) {
      this.#last = this.#tracked.get(vehicleId) ?? this.#start(vehicleId, timeMs);
      this.#lastId = vehicleId;
    }
    const tracked = this.#last;
    if (timeMs >= tracked.restateMs) {
      tracked.tracker.restate(validAt(tracked.entries, timeMs));
      tracked.restateMs = nextValidMs(tracked.entries, timeMs);
    }
    tracked.tracker.push(timeMs, driverId, values, offset);
  }

  /** The input has ended: what is open is reported as far as it was seen. */
  finish(): void {
    for (const { tracker } of this.#tracked.values()) tracker.finish();
  }

  /** What is known of a vehicle by now; null where no row of it was taken, or it was finished and forgotten. */
  learned(vehicleId: string): LearnedVehicle | null {
    return this.#tracked.get(vehicleId)?.tracker.summary() ?? null;
  }

  /**
   * Ends one vehicle and forgets it: for inputs that bring each vehicle's rows together. Gives what was learned of it; null
   * where no row of it was taken.
   */
  finishVehicle(vehicleId: string): LearnedVehicle | null {
    const tracker = this.#tracked.get(vehicleId)?.tracker;
    tracker?.finish();
    const learned = this.learned(vehicleId);
    if (tracker !== undefined) this.#ended = addOddities(this.#ended, tracker.oddities);
    this.#tracked.delete(vehicleId);
    this.#last = null;
    this.#lastId = '';
    return learned;
  }

  #start(vehicleId: string, timeMs: number): Tracked {
    const entries = this.#entries.get(vehicleId) ?? [];
    const tracker = new VehicleTracker(vehicleId, validAt(entries, timeMs), this.#onEpisode);
    const tracked = { tracker, entries, restateMs: nextValidMs(entries, timeMs) };
    this.#tracked.set(vehicleId, tracked);
    return tracked;
  }
}
