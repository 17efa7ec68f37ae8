/**
 * Readings into the store. The same rows again change nothing. A row of the same vehicle and instant that differs is a
 * correction: what it reports wins, signal by signal, and what it does not report stays. In the same transaction each
 * vehicle's `dirty_from` is lowered to the earliest instant that is new or changed, so that no reading is stored without its
 * analysis being due.
 */
import type { ReadingBatch } from '@gearhold/signals';
import type { Engine, Transaction } from '../engine/engine.ts';
import { instant } from '../engine/values.ts';
import { encodeReadings, storedMs } from './binary-copy.ts';
import { reportedColumns } from './columns.ts';

export interface VehicleChange {
  readonly vehicleId: string;
  /** Earliest instant that is new or changed, ms since the epoch. */
  readonly earliestMs: number;
  readonly rowsNew: number;
  readonly rowsChanged: number;
}

export interface UpsertCounts {
  readonly rowsNew: number;
  readonly rowsChanged: number;
  readonly rowsSame: number;
  /** Vehicles that have something new or changed, by id. */
  readonly vehicles: readonly VehicleChange[];
}

/** Stores a batch in a transaction of its own. Doing it twice is doing it once. */
export function storeReadings(engine: Engine, batch: ReadingBatch): Promise<UpsertCounts> {
  return engine.transaction((transaction) => upsertReadings(transaction, batch), { repeatable: true });
}

/** Stores a batch within a transaction, such as one that also moves the position in the input file on. */
export async function upsertReadings(transaction: Transaction, batch: ReadingBatch): Promise<UpsertCounts> {
  const changes = new Map<string, StoredChange>();
  let rowsNew = 0;
  let rowsChanged = 0;
  for (const rows of passes(batch)) {
    for (const change of await upsertOnce(transaction, batch, rows)) {
      rowsNew += change.rowsNew;
      rowsChanged += change.rowsChanged;
      const before = changes.get(change.vehicleId);
      changes.set(change.vehicleId, before === undefined ? change : joined(before, change));
    }
  }
  await noteVehicles(transaction, changes);
  return {
    rowsNew,
    rowsChanged,
    rowsSame: batch.length - rowsNew - rowsChanged,
    vehicles: [...changes.values()]
      .map(({ latestMs: _, ...change }) => change)
      .sort((a, b) => (a.vehicleId < b.vehicleId ? -1 : 1)),
  };
}

/** Rows that may go into one statement, which must not hold an instant of a vehicle twice; undefined: all of them. */
function* passes(batch: ReadingBatch): Generator<readonly number[] | undefined> {
  if (batch.length === 0) return;
  if (isIncreasing(batch)) {
    yield undefined;
    return;
  }
  const seen = new Map<string, number>();
  const byPass: number[][] = [];
  for (let row = 0; row < batch.length; row++) {
    const key = `${storedMs(batch.timesMs[row]!)} ${batch.vehicleIds[row]!}`;
    const pass = seen.get(key) ?? 0;
    seen.set(key, pass + 1);
    byPass[pass] ??= [];
    byPass[pass].push(row);
  }
  yield* byPass;
}

/** Whether each vehicle's instants increase, as they are stored: then none comes twice, and no row needs remembering. */
function isIncreasing(batch: ReadingBatch): boolean {
  const last = new Map<string, number>();
  for (let row = 0; row < batch.length; row++) {
    const vehicleId = batch.vehicleIds[row]!;
    const timeMs = storedMs(batch.timesMs[row]!);
    if (timeMs <= (last.get(vehicleId) ?? Number.NEGATIVE_INFINITY)) return false;
    last.set(vehicleId, timeMs);
  }
  return true;
}

const columns = ['vehicle_id', 'time', ...reportedColumns].join(', ');
const merged = reportedColumns.map((name) => `coalesce(excluded.${name}, reading.${name})`);
const stood = reportedColumns.map((name) => `reading.${name}`);

const upsertSql = `
  with stored as (
    insert into reading (${columns})
    select ${columns} from incoming_reading
    on conflict (vehicle_id, time) do update
    set (${reportedColumns.join(', ')}, corrections) = row(${merged.join(', ')}, reading.corrections + 1)
    where (${merged.join(', ')}) is distinct from (${stood.join(', ')})
    returning vehicle_id, time, corrections
  )
  select vehicle_id as "vehicleId", min(time) as "earliestMs", max(time) as "latestMs",
    count(*) filter (where corrections = 0) as "rowsNew", count(*) filter (where corrections > 0) as "rowsChanged"
  from stored group by vehicle_id`;

interface StoredChange extends VehicleChange {
  readonly latestMs: number;
}

async function upsertOnce(
  transaction: Transaction,
  batch: ReadingBatch,
  rows: readonly number[] | undefined,
): Promise<StoredChange[]> {
  // One staging table a connection; its rows go with the transaction.
  await transaction.query(
    `create temporary table if not exists incoming_reading on commit delete rows as select ${columns} from reading with no data`,
  );
  await transaction.query('truncate incoming_reading');
  await transaction.copyIn(
    `COPY incoming_reading (${columns}) FROM STDIN WITH (FORMAT binary)`,
    encodeReadings(batch, rows),
  );
  return transaction.query<StoredChange>(upsertSql);
}

function joined(a: StoredChange, b: StoredChange): StoredChange {
  return {
    vehicleId: a.vehicleId,
    earliestMs: Math.min(a.earliestMs, b.earliestMs),
    latestMs: Math.max(a.latestMs, b.latestMs),
    rowsNew: a.rowsNew + b.rowsNew,
    rowsChanged: a.rowsChanged + b.rowsChanged,
  };
}

/** What was pruned cannot be analysed again, so nothing before it ever becomes due. */
async function noteVehicles(transaction: Transaction, changes: ReadonlyMap<string, StoredChange>): Promise<void> {
  if (changes.size === 0) return;
  const changed = [...changes.values()];
  await transaction.query(
    `insert into vehicle_progress as known (vehicle_id, first_reading_time, last_reading_time, dirty_from, dirty_until)
    select vehicle_id, earliest, latest, earliest, latest
    from unnest($1::text[], $2::timestamptz[], $3::timestamptz[]) as changed (vehicle_id, earliest, latest)
    order by vehicle_id
    on conflict (vehicle_id) do update set
      first_reading_time = least(known.first_reading_time, excluded.first_reading_time),
      last_reading_time = greatest(known.last_reading_time, excluded.last_reading_time),
      dirty_from = greatest(least(known.dirty_from, excluded.dirty_from), known.pruned_before),
      dirty_until = greatest(known.dirty_until, excluded.dirty_until)`,
    [
      changed.map(({ vehicleId }) => vehicleId),
      changed.map(({ earliestMs }) => instant(earliestMs)),
      changed.map(({ latestMs }) => instant(latestMs)),
    ],
  );
}
