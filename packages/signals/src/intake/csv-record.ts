/** One CSV record as cells that are byte ranges, and who takes it. */
import type { RejectReason } from './report.ts';

/** Longest record, in bytes: 1 MiB. */
export const recordMax = 1_048_576;

/** Most columns; a record with more is told by a count of `columnsMax + 1`. */
export const columnsMax = 4096;

/** Reused: valid only until the next record. */
export interface CsvRecord {
  /** Cell `c` is `bytes[starts[c], ends[c])`. */
  bytes: Uint8Array;
  readonly starts: Int32Array;
  readonly ends: Int32Array;
  count: number;
  /** The record as it stood in the file, without its line end: `source[sourceStart, sourceEnd)`. */
  source: Uint8Array;
  sourceStart: number;
  sourceEnd: number;
  /** Line it begins at, from 1. */
  line: number;
}

export interface CsvHandler {
  record(record: CsvRecord): void;
  /** A line that is no record: `source[start, end)`, without its line end. */
  reject(reason: RejectReason, line: number, source: Uint8Array, start: number, end: number): void;
}

export function newRecord(): CsvRecord {
  const none = new Uint8Array(0);
  return {
    bytes: none,
    starts: new Int32Array(columnsMax + 1),
    ends: new Int32Array(columnsMax + 1),
    count: 0,
    source: none,
    sourceStart: 0,
    sourceEnd: 0,
    line: 1,
  };
}
