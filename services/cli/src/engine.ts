/**
 * The two pure rooms as the analysis uses them: a tracker that makes episodes of ordered rows, and the policy's judgement
 * that makes the wire form of an episode.
 */
import { type Episode, FleetTracker, type Vehicle } from '@gearhold/episodes';
import { judge, siteAt, type WireEpisode } from '@gearhold/policy';
import type { Companions } from './companions.ts';

/** Rows of a vehicle come in strictly increasing time; `values` may be reused by the caller. */
export interface Tracker {
  accept(vehicleId: string, timeMs: number, driverId: string | null, values: Float64Array, offset: number): void;
  /** The rows of this vehicle end here. */
  finishVehicle(vehicleId: string): void;
  /** The input ends here, for every vehicle. */
  finish(): void;
}

export interface Engine {
  tracker(onEpisode: (episode: Episode) => void): Tracker;
  judge(episode: Episode): WireEpisode;
}

/** The engine of a run: what the fleet states of its trucks and places, and what it asks. */
export function buildEngine({ policy, vehicles, sites }: Companions): Engine {
  const byId = Map.groupBy(vehicles, (vehicle) => vehicle.vehicleId);
  return {
    tracker: (onEpisode) => new FleetTracker({ vehicles, onEpisode }),
    judge: (episode) => {
      const vehicle = validAt(byId.get(episode.vehicleId) ?? [], episode.loadTransferTime.best);
      return judge(episode, policy, { site: siteAt(sites, episode.position), vehicle });
    },
  };
}

/** Of several entries of one vehicle the latest that is not after the day (UTC); of one day's, the last in the file. */
export function validAt(entries: readonly Vehicle[], timeMs: number): Vehicle | null {
  const day = new Date(timeMs).toISOString().slice(0, 10);
  let valid: Vehicle | null = null;
  for (const entry of entries) {
    const from = entry.validFrom ?? '';
    if (from <= day && from >= (valid?.validFrom ?? '')) valid = entry;
  }
  return valid;
}
