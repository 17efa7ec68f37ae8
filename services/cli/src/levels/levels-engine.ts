/** The engine of an analysis, watched: when a vehicle's rows end, what was learned of it is handed on. */

import type { Companions } from '@gearhold/operations/inputs';
import { ReportTally, truckLevels } from '@gearhold/operations/learned';
import type { TruckLevels } from '@gearhold/schemas';
import { buildEngine, type Engine } from '../engine.ts';

export function levelsEngine(companions: Companions, onTruck: (truck: TruckLevels) => void): Engine {
  const engine = buildEngine(companions);
  return {
    judge: engine.judge,
    tracker: (onEpisode) => {
      const tallies = new Map<string, ReportTally>();
      const episodes = new Map<string, Record<string, number>>();
      const tracker = engine.tracker((episode) => {
        const kinds = episodes.get(episode.vehicleId) ?? {};
        kinds[episode.kind] = (kinds[episode.kind] ?? 0) + 1;
        episodes.set(episode.vehicleId, kinds);
        onEpisode(episode);
      });
      return {
        accept: (vehicleId, timeMs, driverId, values, offset) => {
          let tally = tallies.get(vehicleId);
          if (tally === undefined) {
            tally = new ReportTally();
            tallies.set(vehicleId, tally);
          }
          tally.add(timeMs, values, offset);
          tracker.accept(vehicleId, timeMs, driverId, values, offset);
        },
        finishVehicle: (vehicleId) => {
          const learned = tracker.finishVehicle(vehicleId);
          const tally = tallies.get(vehicleId);
          if (learned !== null && tally !== undefined)
            onTruck(truckLevels(learned, tally, episodes.get(vehicleId) ?? {}, companions));
          tallies.delete(vehicleId);
          episodes.delete(vehicleId);
          return learned;
        },
        finish: () => tracker.finish(),
        get oddities() {
          return tracker.oddities;
        },
      };
    },
  };
}
