/** The facts of a digest, read from the store. */
import type { Vehicle } from '@gearhold/episodes';
import {
  allChecks,
  anomaliesTurned,
  episodesBetween,
  readDrivers,
  readSites,
  readVehicles,
  type Statements,
  vehiclesHeard,
} from '@gearhold/store';
import type { DayWindow } from '../day/window.ts';
import type { DayFacts, EarlierFacts } from './facts.ts';

/** A truck that was last heard longer ago than this is not told of any more, ms: two weeks. */
const silenceToldMs = 14 * 24 * 3_600_000;
const pageRows = 1000;

export async function readDayFacts(statements: Statements, window: DayWindow): Promise<DayFacts> {
  const { day, startMs, endMs } = window;
  const arrivedLate = new Set<string>();
  const missed = { sinceMs: startMs, untilMs: endMs, outcomes: ['missed'] as const };
  for await (const { anomaly } of allChecks(statements, missed, { order: 'oldest-first', limit: pageRows })) {
    if (anomaly?.arrivedLate) arrivedLate.add(anomaly.anomalyId);
  }
  const episodes = await episodesBetween(statements, { fromMs: startMs, untilMs: endMs });
  const span = { fromMs: startMs, untilMs: endMs, sinceMs: startMs - silenceToldMs };
  const heard = await vehiclesHeard(statements, span);
  const stated = statedOn(await readVehicles(statements), day);
  const drivers = await readDrivers(statements);
  return {
    window,
    episodes: episodes.map(({ wire, terminal, driverTerminal }) => ({ wire, terminal, driverTerminal })),
    arrivedLate,
    trucks: heard.map((truck) => {
      const vehicle = stated.get(truck.vehicleId);
      return { ...truck, terminal: vehicle?.terminal ?? null, steelSprings: vehicle?.driveSuspension === 'spring' };
    }),
    sites: await readSites(statements),
    driverNames: new Map(drivers.flatMap(({ driverId, name }) => (name === null ? [] : [[driverId, name]]))),
  };
}

/**
 * What came to light of the days before this one.
 *
 * @param sinceMs when the digest before was made; null where there was none: then there is nothing that could have been told
 */
export async function readEarlierFacts(
  statements: Statements,
  { startMs }: DayWindow,
  sinceMs: number | null,
): Promise<EarlierFacts> {
  if (sinceMs === null) return { found: [], takenBack: [] };
  const turned = await anomaliesTurned(statements, { untilMs: startMs, sinceMs });
  return {
    found: turned.filter(({ state }) => state === 'open'),
    takenBack: turned.filter(({ state }) => state === 'withdrawn'),
  };
}

/** What is stated of each vehicle on a day. Entries come by vehicle and day, so the last that holds wins. */
function statedOn(vehicles: readonly Vehicle[], day: string): ReadonlyMap<string, Vehicle> {
  const holding = vehicles.filter(({ validFrom }) => validFrom === undefined || validFrom <= day);
  return new Map(holding.map((vehicle) => [vehicle.vehicleId, vehicle]));
}
