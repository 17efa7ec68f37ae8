/**
 * Trucks of a set in a temporary folder: readings, vehicles file, sites file; and beside them what the rows of each true
 * episode allow to prove.
 */
import { closeSync, mkdtempSync, openSync, writeFileSync, writeSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { CsvRows, generateTruckDay, setSites, type TrueEpisode } from '@gearhold/fixtures';
import { signalNames } from '@gearhold/signals';
import { EpisodeRows, type RowFacts, type Stated } from './provable.ts';

export interface Batch {
  readonly folder: string;
  readonly readings: string;
  readonly companions: readonly string[];
  readonly truth: readonly TrueEpisode[];
  /** What the rows around each true episode say. */
  readonly facts: ReadonlyMap<TrueEpisode, RowFacts>;
  readonly rows: number;
  readonly hours: number;
}

/** Generates trucks `from` (inclusive) to `to` (exclusive) of a set. */
export function makeBatch(set: string, seed: string, from: number, to: number, proving: boolean): Batch {
  const folder = mkdtempSync(join(tmpdir(), 'gearhold-accuracy-'));
  const readings = join(folder, 'readings.csv');
  const file = openSync(readings, 'w');
  const csv = new CsvRows(new Set(signalNames), (chunk) => writeSync(file, chunk));
  const truth: TrueEpisode[] = [];
  const facts = new Map<TrueEpisode, RowFacts>();
  const stated: Record<string, unknown>[] = [];
  let hours = 0;
  for (let index = from; index < to; index++) {
    const kept = new EpisodeRows();
    const day = generateTruckDay(set, seed, index, (vehicleId, timeMs, driverId, values) => {
      csv.add(vehicleId, timeMs, driverId, values);
      kept.add(timeMs, values);
    });
    hours += day.hours;
    truth.push(...day.episodes);
    if (day.stated !== null) stated.push(day.stated);
    const says = companionsOf(day.stated);
    for (const episode of day.episodes) facts.set(episode, kept.facts(episode, day.vehicle, says, proving));
  }
  csv.flush();
  closeSync(file);
  const sites = join(folder, 'sites.json');
  writeFileSync(sites, JSON.stringify(setSites()));
  const companions = ['--sites', sites];
  if (stated.length > 0) {
    const vehicles = join(folder, 'vehicles.json');
    writeFileSync(vehicles, JSON.stringify(stated));
    companions.push('--vehicles', vehicles);
  }
  return { folder, readings, companions, truth, facts, rows: csv.rows, hours };
}

/** What the companion files say of a truck and of the yards. */
function companionsOf(stated: Readonly<Record<string, unknown>> | null): Stated {
  const levels = (stated?.levels ?? null) as Stated['levels'];
  const sites = setSites().map((site) => {
    const { circle, bearsLoadedTrailer } = site as {
      circle: { latitude: number; longitude: number; radiusM: number };
      bearsLoadedTrailer: boolean;
    };
    return { ...circle, bears: bearsLoadedTrailer };
  });
  return { sites, levels };
}
