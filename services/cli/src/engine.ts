/**
 * The two pure rooms as the analysis uses them: a tracker that makes episodes of ordered rows, and the policy's judgement
 * that makes the wire form of an episode.
 */
import { type Episode, entriesByVehicle, FleetTracker, type LearnedVehicle, type Oddities } from '@gearhold/episodes';
import type { Companions } from '@gearhold/operations/inputs';
import { contextOf, judge, type WireEpisode } from '@gearhold/policy';

/** Rows of a vehicle come in strictly increasing time; `values` may be reused by the caller. */
export interface Tracker {
  accept(vehicleId: string, timeMs: number, driverId: string | null, values: Float64Array, offset: number): void;
  /** The rows of this vehicle end here. Gives what was learned of it; null where it had none. */
  finishVehicle(vehicleId: string): LearnedVehicle | null;
  /** The input ends here, for every vehicle. */
  finish(): void;
  /** What was strange about the rows so far. */
  readonly oddities: Oddities;
}

export interface Engine {
  tracker(onEpisode: (episode: Episode) => void): Tracker;
  judge(episode: Episode): WireEpisode;
}

/** The engine of a run: what the fleet states of its trucks and places, and what it asks. */
export function buildEngine({ policy, vehicles, sites }: Companions): Engine {
  const entries = entriesByVehicle(vehicles);
  return {
    tracker: (onEpisode) => new FleetTracker({ vehicles, onEpisode }),
    judge: (episode) => judge(episode, policy, contextOf(episode, { sites, entries })),
  };
}
