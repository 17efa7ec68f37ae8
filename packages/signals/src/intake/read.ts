/**
 * The readers: bytes in, batches of readings out, one operator with backpressure. What a row was worth is counted in the
 * report; nothing is printed, opened or waited for here.
 *
 *     pipeline(file, (bytes) => readReadings(bytes, { format: 'csv', ... }), tracker)
 */
import type { ReadingBatch } from '../reading.ts';
import { type ByteSource, textBytes } from './bytes.ts';
import { CsvSplitter } from './csv.ts';
import { CsvRows } from './csv-rows.ts';
import { JsonArraySplitter } from './json-array.ts';
import { JsonRows } from './json-rows.ts';
import { LineSplitter } from './lines.ts';
import { contractMapping, type Mapping } from './mapping.ts';
import { type RowOptions, Rows } from './rows.ts';
import { InputUnreadableError } from './unreadable.ts';

export const inputFormats = ['csv', 'ndjson', 'json'] as const;
export type InputFormat = (typeof inputFormats)[number];

export interface ReadOptions extends RowOptions {
  readonly format: InputFormat;
  /** True: the name says gzip; false: never; left out: by the first bytes. */
  readonly gzip?: boolean | undefined;
  /** Columns, units and times of somebody else's file; the contract's own unless given. */
  readonly mapping?: Mapping | undefined;
  /**
   * What to do where the input cannot be read to its end, once everything before has been handed on: `throw` the
   * {@link InputUnreadableError} (the default), or `end` as if the input ended there, for a pipeline that a thrown error
   * would tear down with what it still holds. Either way the error stands in `report.unreadable`.
   */
  readonly unreadable?: 'throw' | 'end' | undefined;
}

/** What cuts bytes into rows. */
interface Splitter {
  push(piece: Uint8Array): void;
  /** The input ended. */
  end(): void;
  /** The input broke off. */
  abort(): void;
}

/** Readings of one input, in its order. */
export async function* readReadings(bytes: ByteSource, options: ReadOptions): AsyncGenerator<ReadingBatch> {
  const rows = new Rows(options);
  const splitter = splitterOf(options, rows);
  let failure: InputUnreadableError | null = null;
  try {
    for await (const piece of textBytes(bytes, options.fileName, options.gzip)) {
      splitter.push(piece);
      yield* rows.takeFull();
    }
    splitter.end();
  } catch (error) {
    if (!(error instanceof InputUnreadableError)) throw error;
    failure = error;
    splitter.abort();
  }
  yield* rows.takeRest();
  if (failure === null) return;
  options.report.unreadable.push(failure);
  if (options.unreadable !== 'end') throw failure;
}

/** Format and compression that a file name promises: `.csv`, `.ndjson`, `.jsonl`, `.json`, each also with `.gz`. */
export function formatOfName(name: string): { format: InputFormat | null; gzip: true | undefined } {
  const lower = name.toLowerCase();
  const gzip = lower.endsWith('.gz') ? true : undefined;
  const bare = gzip ? lower.slice(0, -3) : lower;
  if (bare.endsWith('.csv')) return { format: 'csv', gzip };
  if (bare.endsWith('.ndjson') || bare.endsWith('.jsonl')) return { format: 'ndjson', gzip };
  if (bare.endsWith('.json')) return { format: 'json', gzip };
  return { format: null, gzip };
}

function splitterOf(options: ReadOptions, rows: Rows): Splitter {
  const mapping = options.mapping ?? contractMapping;
  if (options.format === 'ndjson') return new LineSplitter(new JsonRows(rows, mapping));
  if (options.format === 'json') return new JsonArraySplitter(new JsonRows(rows, mapping), options.fileName);
  const csv = new CsvRows(rows, mapping);
  const splitter = new CsvSplitter(mapping.delimiter, csv);
  return {
    push: (piece) => splitter.push(piece),
    abort: () => {
      if (csv.hasHeader) splitter.abort();
    },
    end: () => {
      splitter.end();
      if (csv.hasHeader) return;
      throw new InputUnreadableError(
        'empty',
        options.fileName,
        'is empty: not even a header row of column names is there',
      );
    },
  };
}
