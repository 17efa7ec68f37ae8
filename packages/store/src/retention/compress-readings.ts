/**
 * Old readings of a hypertable take a tenth of the room compressed, and chunks that pruning has emptied take none when they are
 * dropped. The nightly does both, and not the extension's own jobs: those know nothing of holds. Elsewhere than on TimescaleDB
 * nothing is done. A reading that comes late goes into a compressed chunk as into any other.
 */
import type { Engine } from '../engine/engine.ts';
import { instant } from '../engine/values.ts';

export interface CompressedReadings {
  /** Chunks that were compressed now, those that late readings had opened again among them. */
  readonly compressed: number;
  /** Empty chunks that were dropped. */
  readonly dropped: number;
}

interface Chunk {
  readonly name: string;
  readonly startMs: number;
  readonly endMs: number;
}

/** Compresses chunks that end before an instant, and drops the empty ones. Doing it twice is doing it once. */
export async function compressReadings(engine: Engine, beforeMs: number): Promise<CompressedReadings> {
  const [hypertable] =
    (await engine.describe()).timescale === null
      ? []
      : await engine.query<{ compresses: boolean }>(
          `select compression_enabled as compresses from timescaledb_information.hypertables
    where hypertable_schema = current_schema() and hypertable_name = 'reading'`,
        );
  if (hypertable === undefined) return { compressed: 0, dropped: 0 };
  const chunks = await engine.query<Chunk>(
    `select format('%I.%I', chunk_schema, chunk_name) as name, range_start as "startMs", range_end as "endMs"
    from timescaledb_information.chunks
    where hypertable_schema = current_schema() and hypertable_name = 'reading' and range_end <= $1 order by range_start`,
    [instant(beforeMs)],
  );
  let compressed = 0;
  let dropped = 0;
  for (const chunk of chunks) {
    if (await isEmpty(engine, chunk)) {
      await engine.query(
        `select drop_chunks('reading', older_than => $2::timestamptz, newer_than => $1::timestamptz)`,
        [instant(chunk.startMs), instant(chunk.endMs)],
      );
      dropped += 1;
    } else if (hypertable.compresses && !(await isCompressed(engine, chunk))) {
      await engine.query('select compress_chunk($1::regclass, if_not_compressed => true)', [chunk.name]);
      compressed += 1;
    }
  }
  return { compressed, dropped };
}

async function isEmpty(engine: Engine, { startMs, endMs }: Chunk): Promise<boolean> {
  const rows = await engine.query('select from reading where time >= $1 and time < $2 limit 1', [
    instant(startMs),
    instant(endMs),
  ]);
  return rows.length === 0;
}

/** Whether all of a chunk is compressed: rows that came late lie beside the compressed ones, in the chunk's own table. */
async function isCompressed(engine: Engine, { name }: Chunk): Promise<boolean> {
  const [chunk] = await engine.query<{ compressed: boolean }>(
    `select is_compressed as compressed from timescaledb_information.chunks
    where format('%I.%I', chunk_schema, chunk_name) = $1`,
    [name],
  );
  if (chunk === undefined || !chunk.compressed) return false;
  // The name was quoted by the database itself.
  const [size] = await engine.query<{ bytes: number }>('select pg_relation_size($1::regclass) as bytes', [name]);
  return size!.bytes === 0;
}
