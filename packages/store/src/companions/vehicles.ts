/**
 * What the fleet states of its trucks: entries of the vehicles file. A file is the whole truth of each vehicle that it
 * names; of those it does not name, what was stated before stays.
 */
import type { Vehicle } from '@gearhold/episodes';
import type { Statements, Transaction } from '../engine/engine.ts';

/** Stores a vehicles file; gives the ids of vehicles of which it says something else than before. */
export async function storeVehicles(transaction: Transaction, vehicles: readonly Vehicle[]): Promise<string[]> {
  const stored = Map.groupBy(await readVehicles(transaction), ({ vehicleId }) => vehicleId);
  const changed: string[] = [];
  for (const [vehicleId, given] of Map.groupBy(vehicles, (vehicle) => vehicle.vehicleId)) {
    // Of several entries of one day the last in the file holds.
    const byDay = new Map(given.map((vehicle) => [vehicle.validFrom ?? '-infinity', vehicle]));
    const entries = [...byDay].sort(([a], [b]) => (dayOrder(a) < dayOrder(b) ? -1 : 1)).map(([, vehicle]) => vehicle);
    const before = stored.get(vehicleId) ?? [];
    if (JSON.stringify(before) === JSON.stringify(entries)) continue;
    changed.push(vehicleId);
    await transaction.query('delete from vehicle where vehicle_id = $1', [vehicleId]);
    for (const entry of entries) {
      await transaction.query(
        'insert into vehicle (vehicle_id, valid_from, terminal, document) values ($1, $2, $3, $4)',
        [vehicleId, entry.validFrom ?? '-infinity', entry.terminal ?? null, JSON.stringify(entry)],
      );
    }
  }
  return changed.sort();
}

function dayOrder(day: string): string {
  return day === '-infinity' ? '' : day;
}

/** All entries, by vehicle and day: as a vehicles file. */
export async function readVehicles(statements: Statements): Promise<Vehicle[]> {
  const rows = await statements.query<{ document: string }>(
    'select document from vehicle order by vehicle_id, valid_from',
  );
  return rows.map(({ document }) => JSON.parse(document) as Vehicle);
}
