/**
 * Simulated days as rows, and what the analysis says of rows: in process, from ordered readings to judged episodes, through
 * the program's own engine. Times are ms since the epoch.
 */
import { type Episode, type Vehicle, vehiclesSchema } from '@gearhold/episodes';
import { generateTruckDay, type RowSink, setSites, type TrueEpisode } from '@gearhold/fixtures';
import { builtInPolicy, type Policy, type Site, sitesSchema, type WireEpisode } from '@gearhold/policy';
import { contractMapping } from '@gearhold/signals';
import { buildEngine, type Engine } from '../../services/cli/src/engine.ts';

export interface Row {
  readonly timeMs: number;
  readonly driverId: string | null;
  readonly values: Float64Array;
}

export interface TruckDay {
  /** Set, seed and number of the truck: what it takes to make the day again. */
  readonly name: string;
  readonly vehicleId: string;
  /** In strictly increasing time. */
  readonly rows: readonly Row[];
  readonly truth: readonly TrueEpisode[];
  readonly vehicles: readonly Vehicle[];
}

/** How often a property is tried: a few times in the usual run, so many times more where the environment asks for it. */
export const effort = Math.max(1, Number(process.env.METAMORPHIC_EFFORT ?? 1));

/** Trucks of a set that are tried. */
export const trucks = effort > 1 ? 3 : 1;

export const sites: readonly Site[] = sitesSchema.parse(setSites());

const made = new Map<string, TruckDay>();

/** One day of a truck of a set, as long as the set says where `hours` does not; the same each time. */
export function truckDay(set: string, index: number, seed = 'tuning-metamorphic-1', hours?: number): TruckDay {
  const name = `${set} ${seed} truck ${index}${hours === undefined ? '' : `, ${hours} h`}`;
  const known = made.get(name);
  if (known !== undefined) return known;
  const all: Row[] = [];
  const sink: RowSink = (_, timeMs, driverId, values) => {
    all.push({ timeMs: Math.round(timeMs), driverId, values: values.slice() });
  };
  const { vehicle, episodes, stated } = generateTruckDay(set, seed, index, sink, hours);
  all.sort((a, b) => a.timeMs - b.timeMs);
  const day = {
    name,
    vehicleId: vehicle.vehicleId,
    rows: all.filter((row, i) => i === 0 || row.timeMs > all[i - 1]!.timeMs),
    truth: episodes,
    vehicles: vehiclesSchema.parse(stated === null ? [] : [stated]),
  };
  made.set(name, day);
  return day;
}

export function engineFor(vehicles: readonly Vehicle[], policy: Policy = builtInPolicy): Engine {
  return buildEngine({ policy, vehicles, sites, mapping: contractMapping });
}

/** The judged episodes of one vehicle's rows, in the order of the output. */
export function analysed(vehicleId: string, rows: readonly Row[], engine: Engine): WireEpisode[] {
  return episodesOf(vehicleId, rows, engine).map((episode) => engine.judge(episode));
}

const wholes = new Map<string, WireEpisode[]>();

/** The judged episodes of all rows of a day, under the built-in policy. */
export function analysedWhole(day: TruckDay): WireEpisode[] {
  const known = wholes.get(day.name) ?? analysed(day.vehicleId, day.rows, engineFor(day.vehicles));
  wholes.set(day.name, known);
  return known;
}

/** The episodes of one vehicle's rows, not yet judged, in the order of the output. */
export function episodesOf(vehicleId: string, rows: readonly Row[], engine: Engine): Episode[] {
  const episodes: Episode[] = [];
  const tracker = engine.tracker((episode) => episodes.push(episode));
  for (const { timeMs, driverId, values } of rows) tracker.accept(vehicleId, timeMs, driverId, values, 0);
  tracker.finishVehicle(vehicleId);
  return episodes.sort((a, b) => a.loadTransferTime.best - b.loadTransferTime.best);
}

/** A number from 0 to 1 for each index: chance that shrinks with its seed and not with thousands of values. */
export function perIndex(seed: number): (index: number) => number {
  return (index) => {
    let x = Math.imul(index ^ seed, 0x9e3779b1);
    x = Math.imul(x ^ (x >>> 15), 0x85ebca6b);
    return ((x ^ (x >>> 13)) >>> 0) / 2 ** 32;
  };
}
