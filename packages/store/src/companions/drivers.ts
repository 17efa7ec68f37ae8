/** The drivers file, which is the whole truth: who a driver is, and which terminal he belonged to when. */
import type { Statements, Transaction } from '../engine/engine.ts';

export interface DriverEntry {
  readonly driverId: string;
  /** Null where names are not to be stored. */
  readonly name: string | null;
  readonly terminal: string;
  /** First day, `YYYY-MM-DD`; null: always. */
  readonly from: string | null;
  /** First day on which it no longer holds; null: it still does. */
  readonly until: string | null;
}

/** Stores a drivers file in place of the one before. Entries of one driver must not overlap. */
export async function storeDrivers(transaction: Transaction, entries: readonly DriverEntry[]): Promise<void> {
  await transaction.query('delete from driver');
  for (const [driverId, given] of Map.groupBy(entries, (entry) => entry.driverId)) {
    await addDriver(transaction, driverId, given);
  }
}

/** Stores what is stated of one driver in place of what was, one writer after the other. Entries must not overlap. */
export async function storeDriver(
  transaction: Transaction,
  driverId: string,
  entries: readonly DriverEntry[],
): Promise<void> {
  await transaction.query(`select pg_advisory_xact_lock(hashtextextended($1, 0))`, [`gearhold driver ${driverId}`]);
  await transaction.query('delete from driver where driver_id = $1', [driverId]);
  await addDriver(transaction, driverId, entries);
}

async function addDriver(transaction: Transaction, driverId: string, given: readonly DriverEntry[]): Promise<void> {
  const name = given.findLast((entry) => entry.name !== null)?.name ?? null;
  await transaction.query('insert into driver (driver_id, name) values ($1, $2)', [driverId, name]);
  for (const { terminal, from, until } of given) {
    await transaction.query(
      'insert into driver_assignment (driver_id, terminal, valid_from, valid_until) values ($1, $2, $3, $4)',
      [driverId, terminal, from ?? '-infinity', until ?? 'infinity'],
    );
  }
}

/** All entries, by driver and day. */
export function readDrivers(statements: Statements): Promise<DriverEntry[]> {
  return statements.query<DriverEntry>(
    `select driver_id as "driverId", name, terminal,
      case when isfinite(valid_from) then valid_from end as "from",
      case when isfinite(valid_until) then valid_until end as "until"
    from driver join driver_assignment using (driver_id) order by driver_id, valid_from`,
  );
}
