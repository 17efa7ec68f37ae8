/**
 * Readings into the store. The same rows again change nothing. A row of the same vehicle and instant that differs is a
 * correction: what it reports wins, signal by signal, and what it does not report stays. In the same transaction each
 * vehicle's `dirty_from` is lowered to the earliest instant that is new or changed, so that no reading is stored without its
 * analysis being due.
 *
 * Writers lock the vehicles of their batch. Rows later than all that is stored of a vehicle, which is nearly every row there
 * is, then cannot meet one that is there, and go straight into the table; the others go through a staging table.
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
  const spans = spansOf(batch);
  const latestStored = await lockVehicles(transaction, spans);
  const { beyond, passes } = sorted(batch, latestStored);
  const changes = new ChangeTally();
  if (beyond.length > 0) {
    await transaction.copyIn(copySql('reading'), encodeReadings(batch, beyond));
    for (const row of beyond) {
      const timeMs = storedMs(batch.timesMs[row]!);
      changes.add({
        vehicleId: batch.vehicleIds[row]!,
        earliestMs: timeMs,
        latestMs: timeMs,
        rowsNew: 1,
        rowsChanged: 0,
      });
    }
  }
  for (const rows of passes) {
    for (const change of await mergeRows(transaction, batch, rows)) changes.add(change);
  }
  const changed = changes.vehicles();
  await noteVehicles(transaction, spans, changed);
  const vehicles = changed.map(({ latestMs: _, ...change }) => change);
  const rowsNew = vehicles.reduce((sum, vehicle) => sum + vehicle.rowsNew, 0);
  const rowsChanged = vehicles.reduce((sum, vehicle) => sum + vehicle.rowsChanged, 0);
  return { rowsNew, rowsChanged, rowsSame: batch.length - rowsNew - rowsChanged, vehicles };
}

interface StoredChange extends VehicleChange {
  /** Latest instant that is new or changed, ms since the epoch. */
  readonly latestMs: number;
}

/** What a batch holds of one vehicle, from its first to its last instant, ms since the epoch as stored. */
interface VehicleSpan {
  readonly vehicleId: string;
  firstMs: number;
  lastMs: number;
}

/** By vehicle id, in order: writers that lock in one order do not lock each other out. */
function spansOf(batch: ReadingBatch): VehicleSpan[] {
  const spans = new Map<string, VehicleSpan>();
  for (let row = 0; row < batch.length; row++) {
    const vehicleId = batch.vehicleIds[row]!;
    const timeMs = storedMs(batch.timesMs[row]!);
    const span = spans.get(vehicleId);
    if (span === undefined) spans.set(vehicleId, { vehicleId, firstMs: timeMs, lastMs: timeMs });
    else {
      if (timeMs < span.firstMs) span.firstMs = timeMs;
      if (timeMs > span.lastMs) span.lastMs = timeMs;
    }
  }
  return [...spans.values()].sort((a, b) => (a.vehicleId < b.vehicleId ? -1 : 1));
}

/** Locks the vehicles of a batch, and gives the latest instant that is stored of each; none of one that is new. */
async function lockVehicles(transaction: Transaction, spans: readonly VehicleSpan[]): Promise<Map<string, number>> {
  const latest = new Map<string, number>();
  for (let missing = spans; missing.length > 0; ) {
    const known = await transaction.query<{ vehicleId: string; lastMs: number }>(
      `select vehicle_id as "vehicleId", last_reading_time as "lastMs" from vehicle_progress
      where vehicle_id = any ($1::text[]) order by vehicle_id for update`,
      [missing.map(({ vehicleId }) => vehicleId)],
    );
    for (const { vehicleId, lastMs } of known) latest.set(vehicleId, lastMs);
    missing = missing.filter(({ vehicleId }) => !latest.has(vehicleId));
    if (missing.length === 0) break;
    const added = await transaction.query<{ vehicleId: string }>(
      `insert into vehicle_progress (vehicle_id, first_reading_time, last_reading_time)
      select * from unnest($1::text[], $2::timestamptz[], $3::timestamptz[]) as given (vehicle_id, earliest, latest)
      order by vehicle_id
      on conflict (vehicle_id) do nothing returning vehicle_id as "vehicleId"`,
      [
        missing.map(({ vehicleId }) => vehicleId),
        missing.map(({ firstMs }) => instant(firstMs)),
        missing.map(({ lastMs }) => instant(lastMs)),
      ],
    );
    for (const { vehicleId } of added) latest.set(vehicleId, Number.NEGATIVE_INFINITY);
    // Another writer brought the vehicle meanwhile: its row is there now, and can be locked.
    missing = missing.filter(({ vehicleId }) => !latest.has(vehicleId));
  }
  return latest;
}

/**
 * Rows that lie beyond everything stored of their vehicle, and the rest in passes: no pass holds an instant of a vehicle
 * twice, because one statement cannot store a row twice.
 */
function sorted(
  batch: ReadingBatch,
  latestStored: ReadonlyMap<string, number>,
): { readonly beyond: number[]; readonly passes: readonly number[][] } {
  const beyond: number[] = [];
  const within: number[] = [];
  const latest = new Map(latestStored);
  for (let row = 0; row < batch.length; row++) {
    const vehicleId = batch.vehicleIds[row]!;
    const timeMs = storedMs(batch.timesMs[row]!);
    if (timeMs > latest.get(vehicleId)!) {
      latest.set(vehicleId, timeMs);
      beyond.push(row);
    } else {
      within.push(row);
    }
  }
  const seen = new Map<string, number>();
  const passes: number[][] = [];
  for (const row of within) {
    const key = `${storedMs(batch.timesMs[row]!)} ${batch.vehicleIds[row]!}`;
    const pass = seen.get(key) ?? 0;
    seen.set(key, pass + 1);
    passes[pass] ??= [];
    passes[pass].push(row);
  }
  return { beyond, passes };
}

const columns = ['vehicle_id', 'time', ...reportedColumns].join(', ');

function copySql(table: string): string {
  return `COPY ${table} (${columns}) FROM STDIN WITH (FORMAT binary)`;
}

const merged = reportedColumns.map((name) => `coalesce(excluded.${name}, reading.${name})`).join(', ');
const standing = reportedColumns.map((name) => `reading.${name}`).join(', ');

// Measured against looking first for what is there: one statement that meets it on insertion takes half as long.
const mergeSql = `
  with merged as (
    insert into reading (${columns})
    select ${columns} from incoming_reading
    on conflict (vehicle_id, time) do update
    set (${reportedColumns.join(', ')}, corrections) = row(${merged}, reading.corrections + 1)
    where (${merged}) is distinct from (${standing})
    returning vehicle_id, time, corrections
  )
  select vehicle_id as "vehicleId", min(time) as "earliestMs", max(time) as "latestMs",
    count(*) filter (where corrections = 0) as "rowsNew", count(*) filter (where corrections > 0) as "rowsChanged"
  from merged group by vehicle_id`;

/** Rows that may meet stored ones. */
async function mergeRows(
  transaction: Transaction,
  batch: ReadingBatch,
  rows: readonly number[],
): Promise<StoredChange[]> {
  // One staging table a connection; its rows go with the transaction.
  await transaction.query(
    `create temporary table if not exists incoming_reading on commit delete rows as select ${columns} from reading with no data`,
  );
  await transaction.query('truncate incoming_reading');
  await transaction.copyIn(copySql('incoming_reading'), encodeReadings(batch, rows));
  return transaction.query<StoredChange>(mergeSql);
}

class ChangeTally {
  readonly #byVehicle = new Map<string, StoredChange>();

  add(change: StoredChange): void {
    const before = this.#byVehicle.get(change.vehicleId);
    this.#byVehicle.set(change.vehicleId, before === undefined ? change : joined(before, change));
  }

  /** By vehicle id. */
  vehicles(): StoredChange[] {
    return [...this.#byVehicle.values()].sort((a, b) => (a.vehicleId < b.vehicleId ? -1 : 1));
  }
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
async function noteVehicles(
  transaction: Transaction,
  spans: readonly VehicleSpan[],
  changed: readonly StoredChange[],
): Promise<void> {
  if (changed.length === 0) return;
  const span = new Map(spans.map((of) => [of.vehicleId, of]));
  await transaction.query(
    `update vehicle_progress known set
      first_reading_time = least(known.first_reading_time, given.first_time),
      last_reading_time = greatest(known.last_reading_time, given.last_time),
      dirty_from = greatest(least(known.dirty_from, given.dirty_from), known.pruned_before),
      dirty_until = greatest(known.dirty_until, given.dirty_until)
    from unnest($1::text[], $2::timestamptz[], $3::timestamptz[], $4::timestamptz[], $5::timestamptz[])
      as given (vehicle_id, first_time, last_time, dirty_from, dirty_until)
    where known.vehicle_id = given.vehicle_id`,
    [
      changed.map(({ vehicleId }) => vehicleId),
      changed.map(({ vehicleId }) => instant(span.get(vehicleId)!.firstMs)),
      changed.map(({ vehicleId }) => instant(span.get(vehicleId)!.lastMs)),
      changed.map(({ earliestMs }) => instant(earliestMs)),
      changed.map(({ latestMs }) => instant(latestMs)),
    ],
  );
}
