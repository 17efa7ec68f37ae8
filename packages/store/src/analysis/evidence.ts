/**
 * The readings of all signals around an episode, so that a person can see it years later, although raw readings are gone:
 * gzip of one JSON document that names its columns and their units, so that it explains itself without this program.
 */
import { gunzipSync, gzipSync } from 'node:zlib';
import type { Statements, Transaction } from '../engine/engine.ts';
import { instant } from '../engine/values.ts';

export interface EvidenceColumn {
  readonly name: string;
  /** Usual unit symbol; `1` for a plain number, `0/1` for a two-state signal. */
  readonly unit: string;
}

export interface EvidenceRows {
  /** One a signal, in the order of `values`. */
  readonly columns: readonly EvidenceColumn[];
  /** ms since the epoch, increasing. */
  readonly timesMs: ArrayLike<number>;
  readonly driverIds: readonly (string | null)[];
  /** Row-major; NaN = not reported. */
  readonly values: Float64Array;
}

const encoding = 'columns-json+gzip';

interface EvidenceDocument {
  readonly format: 'gearhold evidence 1';
  readonly rows: number;
  readonly columns: readonly (EvidenceColumn & { readonly values: readonly (number | string | null)[] | null })[];
}

/** The bytes that are stored: the same rows give the same bytes. */
export function encodeEvidence(evidence: EvidenceRows): Uint8Array {
  const { columns, values } = evidence;
  const rows = evidence.timesMs.length;
  const document: EvidenceDocument = {
    format: 'gearhold evidence 1',
    rows,
    columns: [
      { name: 'time', unit: 'ms since 1970-01-01T00:00:00Z', values: Array.from(evidence.timesMs) },
      { name: 'driverId', unit: 'text', values: noneIfNull(evidence.driverIds) },
      ...columns.map((column, c) => ({
        ...column,
        values: noneIfNull(
          Array.from({ length: rows }, (_, r) => {
            const value = values[r * columns.length + c]!;
            return Number.isNaN(value) ? null : value;
          }),
        ),
      })),
    ],
  };
  return gzipSync(JSON.stringify(document));
}

/** A column that nothing was reported in is null as a whole. */
function noneIfNull<Value>(values: readonly (Value | null)[]): readonly (Value | null)[] | null {
  return values.every((value) => value === null) ? null : values;
}

export function decodeEvidence(content: Uint8Array): EvidenceRows {
  const document = JSON.parse(gunzipSync(content).toString()) as EvidenceDocument;
  const [time, driver, ...signals] = document.columns;
  const values = new Float64Array(document.rows * signals.length).fill(Number.NaN);
  for (const [c, signal] of signals.entries()) {
    for (const [r, value] of (signal.values ?? []).entries()) {
      if (value !== null) values[r * signals.length + c] = value as number;
    }
  }
  return {
    columns: signals.map(({ name, unit }) => ({ name, unit })),
    timesMs: Float64Array.from((time?.values ?? []) as number[]),
    driverIds: (driver?.values ?? Array.from({ length: document.rows }, () => null)) as (string | null)[],
    values,
  };
}

/** Stores the evidence of an episode in place of what was there. */
export async function storeEvidence(
  transaction: Transaction,
  episodeId: string,
  evidence: EvidenceRows,
): Promise<void> {
  const { timesMs } = evidence;
  if (timesMs.length === 0) return;
  await transaction.query(
    `insert into episode_evidence as known (episode_id, encoding, from_time, until_time, rows, content)
    values ($1, $2, $3, $4, $5, $6)
    on conflict (episode_id) do update set encoding = excluded.encoding, from_time = excluded.from_time,
      until_time = excluded.until_time, rows = excluded.rows, content = excluded.content
    where known.content is distinct from excluded.content`,
    [
      episodeId,
      encoding,
      instant(timesMs[0]!),
      instant(timesMs[timesMs.length - 1]!),
      timesMs.length,
      encodeEvidence(evidence),
    ],
  );
}

/** The evidence of an episode, or null where none is stored (any more). */
export async function readEvidence(statements: Statements, episodeId: string): Promise<EvidenceRows | null> {
  const [row] = await statements.query<{ content: Uint8Array }>(
    'select content from episode_evidence where episode_id = $1',
    [episodeId],
  );
  return row === undefined ? null : decodeEvidence(row.content);
}
