/**
 * Which vehicles are due for analysis, and from when. Whoever analyses a vehicle locks it first: readings that arrive
 * meanwhile wait, and are due when they are stored.
 */
import type { Statements, Transaction } from '../engine/engine.ts';
import { instant } from '../engine/values.ts';

export interface VehicleProgress {
  readonly vehicleId: string;
  /** ms since the epoch, all of them. */
  readonly firstReadingMs: number;
  readonly lastReadingMs: number;
  /** Readings from here on are not analysed yet; null: all are. */
  readonly dirtyFromMs: number | null;
  /** Nor those up to here; what comes later was seen by the last analysis as it is. Null: all were. */
  readonly dirtyUntilMs: number | null;
  /** Readings up to here were seen by the last analysis; null: there was none. */
  readonly analysedUntilMs: number | null;
  /** Nothing before this can be analysed again; null: everything can. */
  readonly prunedBeforeMs: number | null;
}

const columns = `vehicle_id as "vehicleId", first_reading_time as "firstReadingMs", last_reading_time as "lastReadingMs",
  dirty_from as "dirtyFromMs", dirty_until as "dirtyUntilMs", analysed_until as "analysedUntilMs", pruned_before as "prunedBeforeMs"`;

/** Vehicles that are due, by id. */
export function dirtyVehicles(statements: Statements): Promise<VehicleProgress[]> {
  return statements.query<VehicleProgress>(
    `select ${columns} from vehicle_progress where dirty_from is not null order by vehicle_id`,
  );
}

/** All vehicles that readings came from, by id. */
export function vehiclesSeen(statements: Statements): Promise<VehicleProgress[]> {
  return statements.query<VehicleProgress>(`select ${columns} from vehicle_progress order by vehicle_id`);
}

/** Locks a vehicle until the transaction ends, and gives how far it is; null where no reading of it is stored. */
export async function lockVehicle(transaction: Transaction, vehicleId: string): Promise<VehicleProgress | null> {
  const [progress] = await transaction.query<VehicleProgress>(
    `select ${columns} from vehicle_progress where vehicle_id = $1 for update`,
    [vehicleId],
  );
  return progress ?? null;
}

/** Makes vehicles due again from an instant on, because something else than a reading changed: a statement, a policy. */
export async function markDirty(
  statements: Statements,
  fromMs: number,
  vehicleIds: readonly string[] | 'all',
): Promise<void> {
  await statements.query(
    `update vehicle_progress set dirty_until = 'infinity', dirty_from =
      greatest(least(dirty_from, greatest($1::timestamptz, first_reading_time)), pruned_before)
    where ($2::text[] is null or vehicle_id = any ($2::text[])) and last_reading_time >= $1::timestamptz`,
    [instant(fromMs), vehicleIds === 'all' ? null : vehicleIds],
  );
}

/**
 * The analysis of a vehicle is done up to an instant.
 *
 * @param dirtyFromMs what is left to do, or null where nothing is
 */
export async function noteAnalysed(
  transaction: Transaction,
  vehicleId: string,
  analysedUntilMs: number,
  dirtyFromMs: number | null = null,
): Promise<void> {
  await transaction.query(
    `update vehicle_progress set analysed_until = greatest(analysed_until, $2), dirty_from = $3::timestamptz,
      dirty_until = case when $3::timestamptz is not null then coalesce(dirty_until, 'infinity') end
    where vehicle_id = $1`,
    [vehicleId, instant(analysedUntilMs), dirtyFromMs === null ? null : instant(dirtyFromMs)],
  );
}

/** Vehicles that readings came from, by id, from after one on. */
export function vehiclesPage(
  statements: Statements,
  afterId: string | null,
  limit: number,
): Promise<VehicleProgress[]> {
  return statements.query<VehicleProgress>(
    `select ${columns} from vehicle_progress where $1::text is null or vehicle_id > $1 order by vehicle_id limit $2`,
    [afterId, limit],
  );
}

/** How far one vehicle is; null where no reading of it was ever stored. */
export async function vehicleProgress(statements: Statements, vehicleId: string): Promise<VehicleProgress | null> {
  const [progress] = await statements.query<VehicleProgress>(
    `select ${columns} from vehicle_progress where vehicle_id = $1`,
    [vehicleId],
  );
  return progress ?? null;
}
