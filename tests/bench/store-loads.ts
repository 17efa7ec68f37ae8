/**
 * The same parsed readings into the store and, in the same run, by a plain COPY into a table of the same columns without key
 * or rule. All go through the same encoder, in batches of the same size, each in a transaction of its own; the kinds take
 * turns, so that what else the machine does meanwhile is shared.
 */
import { BatchBuilder, type ReadingBatch, signalNames } from '@gearhold/signals';
import { type Engine, storeReadings } from '@gearhold/store';
import { encodeReadings } from '../../packages/store/src/readings/binary-copy.ts';
import { reportedColumns, signalColumns } from '../../packages/store/src/readings/columns.ts';

export interface LoadRun {
  readonly kind: 'copy' | 'fresh' | 'again' | 'late';
  readonly seconds: number;
}

const batchRows = 20_000;
const vehicles = 40;
const startMs = Date.UTC(2026, 2, 2);
const columns = ['vehicle_id', 'time', ...reportedColumns].join(', ');

export async function measureLoads(engine: Engine, rows: number, runs: number): Promise<LoadRun[]> {
  await engine.query(`create table plain_reading as select ${columns} from reading with no data`);
  const batches = readings(rows, 0);
  const between = readings(rows, 500);
  const measured: LoadRun[] = [];
  const timed = async (
    kind: LoadRun['kind'],
    given: readonly ReadingBatch[],
    store: (batch: ReadingBatch) => Promise<unknown>,
  ) => {
    const start = performance.now();
    for (const batch of given) await store(batch);
    measured.push({ kind, seconds: (performance.now() - start) / 1000 });
  };
  const copy = (batch: ReadingBatch) =>
    engine.transaction((transaction) =>
      transaction.copyIn(`COPY plain_reading (${columns}) FROM STDIN WITH (FORMAT binary)`, encodeReadings(batch)),
    );
  for (let run = 0; run < runs; run++) {
    await engine.query('truncate plain_reading, reading, vehicle_progress cascade');
    await timed('copy', batches, copy);
    await timed('fresh', batches, (batch) => storeReadings(engine, batch));
    await timed('again', batches, (batch) => storeReadings(engine, batch));
    await timed('late', between, (batch) => storeReadings(engine, batch));
  }
  await engine.query('drop table plain_reading');
  await engine.query('truncate reading, vehicle_progress cascade');
  return measured;
}

/** Rows as a file brings them: the vehicles of a fleet by turns, a second apart, every signal reported. */
function readings(rows: number, offsetMs: number): ReadingBatch[] {
  const builder = new BatchBuilder(0, batchRows);
  const batches: ReadingBatch[] = [];
  for (let row = 0; row < rows; row++) {
    builder.begin();
    for (const [s, { type }] of signalColumns.entries()) {
      const value = type === 'bool' ? row & 1 : type === 'int2' ? (row % 14) - 1 : (row % 997) / 11;
      builder.values[builder.offset + s] = signalNames[s] === 'latitude' ? 41 + value / 1000 : value;
    }
    const vehicle = row % vehicles;
    builder.add(`T-${vehicle}`, `D-${vehicle}`, startMs + Math.floor(row / vehicles) * 1000 + offsetMs);
    if (builder.full) batches.push(builder.take());
  }
  if (builder.length > 0) batches.push(builder.take());
  return batches;
}
