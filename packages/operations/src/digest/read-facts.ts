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
  const terminals = terminalsOn(await readVehicles(statements), day);
  const drivers = await readDrivers(statements);
  return {
    window,
    episodes: episodes.map(({ wire, terminal, driverTerminal }) => ({ wire, terminal, driverTerminal })),
    arrivedLate,
    trucks: heard.map((truck) => ({ ...truck, terminal: terminals.get(truck.vehicleId) ?? null })),
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

/** The terminal of each vehicle by the statement that holds on a day. Entries come by vehicle and day. */
function terminalsOn(vehicles: readonly Vehicle[], day: string): ReadonlyMap<string, string> {
  const terminals = new Map<string, string>();
  for (const { vehicleId, terminal, validFrom } of vehicles) {
    if (validFrom !== undefined && validFrom > day) continue;
    if (terminal === undefined) terminals.delete(vehicleId);
    else terminals.set(vehicleId, terminal);
  }
  return terminals;
}
