/**
 * A vehicle's life cut into stretches at quiet moments, so that it can be gone through again from the middle. A stretch
 * ends at a row after which nothing is open (`VehicleTracker.isQuiet`), six hours or more after it began; where it ends is
 * told by its rows alone. From there the tracker goes on with what JSON carries of its state and nothing else: whoever
 * begins at that state later, with the rows after it, gets the same bytes, be it a stream, a nightly batch or a second look
 * at rows that came late. A row belongs to the stretch that began before it and ended at it or after.
 *
 * A vehicle that is never quiet has one long stretch; what its tracker holds stays bounded all the same.
 *
 *     rows -> tracker -> episodes, and at each quiet moment a stretch with the state at either end
 */
import type { Episode } from '../episode.ts';
import type { LearnedVehicle } from '../learned/learned-vehicle.ts';
import type { Oddities } from '../oddities.ts';
import { parseTrackerState, type TrackerState } from '../tracker/tracker-state.ts';
import { VehicleTracker } from '../tracker/vehicle-tracker.ts';
import { nextValidMs, type Vehicle, validAt } from '../vehicle.ts';

/** A stretch is at least so long, ms: a state is several kB, and going through six hours again takes no time. */
export const stretchMs = 6 * 3_600_000;

/** State at the last row of a stretch, which is where the next one begins. */
export interface Cut {
  /** Time of that row, ms since the epoch. */
  readonly timeMs: number;
  readonly state: TrackerState;
}

export interface Stretch {
  /** Where it began; null where it is the vehicle's first. */
  readonly start: Cut | null;
  readonly end: Cut;
}

export interface StretchOptions {
  readonly vehicleId: string;
  /** What the fleet states of this vehicle: its entries of the vehicles file. */
  readonly entries: readonly Vehicle[];
  /** Where to begin; null = at the vehicle's first row. */
  readonly start: Cut | null;
  /** A stretch is at least so long, ms; defaults to {@link stretchMs}. The same for all who share the states. */
  readonly leastMs?: number;
  /** Called with each episode as it closes, in the order of closing, and before the stretch that it lies in. */
  readonly onEpisode: (episode: Episode) => void;
  readonly onStretch: (stretch: Stretch) => void;
}

export class StretchTracker {
  readonly #options: StretchOptions;
  readonly #leastMs: number;
  #tracker: VehicleTracker | null = null;
  #start: Cut | null;
  #startMs: number;
  /** From here on another entry of the vehicles file holds, ms. */
  #restateMs: number;

  constructor(options: StretchOptions) {
    const { start, entries } = options;
    this.#options = options;
    this.#leastMs = options.leastMs ?? stretchMs;
    this.#start = start;
    this.#startMs = start?.timeMs ?? Number.NaN;
    this.#restateMs = start === null ? Number.NEGATIVE_INFINITY : nextValidMs(entries, start.timeMs);
    if (start !== null) this.#tracker = VehicleTracker.resume(start.state, options.onEpisode);
  }

  /** Takes one row after the start; rows in strictly increasing time, NaN where not reported. */
  accept(timeMs: number, driverId: string | null, values: Float64Array, offset: number): void {
    const tracker = this.#tracker ?? this.#begin(timeMs);
    if (timeMs >= this.#restateMs) {
      tracker.restate(validAt(this.#options.entries, timeMs));
      this.#restateMs = nextValidMs(this.#options.entries, timeMs);
    }
    tracker.push(timeMs, driverId, values, offset);
    if (timeMs - this.#startMs >= this.#leastMs && tracker.isQuiet(timeMs)) this.#cut(tracker, timeMs);
  }

  /** The rows end here: what is open is reported as far as it was seen. No stretch ends by it. */
  finish(): void {
    this.#tracker?.finish();
  }

  /** What is known of the vehicle by now; null before its first row. */
  learned(): LearnedVehicle | null {
    return this.#tracker?.summary() ?? null;
  }

  /** What was strange about the rows, from the vehicle's first one. */
  get oddities(): Oddities | null {
    return this.#tracker?.oddities ?? null;
  }

  #begin(timeMs: number): VehicleTracker {
    const { vehicleId, entries, onEpisode } = this.#options;
    this.#tracker = new VehicleTracker(vehicleId, validAt(entries, timeMs), onEpisode);
    this.#startMs = timeMs;
    this.#restateMs = nextValidMs(entries, timeMs);
    return this.#tracker;
  }

  #cut(tracker: VehicleTracker, timeMs: number): void {
    tracker.forgetRoad(timeMs);
    const end = { timeMs, state: parseTrackerState(JSON.parse(JSON.stringify(tracker.state()))) };
    const start = this.#start;
    this.#start = end;
    this.#startMs = timeMs;
    this.#tracker = VehicleTracker.resume(end.state, this.#options.onEpisode);
    this.#options.onStretch({ start, end });
  }
}
