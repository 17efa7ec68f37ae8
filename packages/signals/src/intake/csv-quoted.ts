/**
 * A run of adjacent records of which at least one has quotes, read by csv-parse in one call and handed on record by
 * record. csv-parse decodes to Latin-1, byte for byte, so that a cell's bytes are what they were in the file.
 */
import { parse } from 'csv-parse/sync';
import { type CsvHandler, type CsvRecord, columnsMax } from './csv-record.ts';

/** Records of a run; more begin the next one. */
const runMax = 512;

export class QuotedRun {
  readonly #delimiter: string;
  readonly #handler: CsvHandler;
  readonly #record: CsvRecord;
  /** Where each record begins and ends in the source, without its line end, and its line. */
  readonly #starts: number[] = [];
  readonly #ends: number[] = [];
  readonly #lines: number[] = [];
  #cells: Buffer = Buffer.alloc(0);

  constructor(delimiter: number, handler: CsvHandler, record: CsvRecord) {
    this.#delimiter = String.fromCharCode(delimiter);
    this.#handler = handler;
    this.#record = record;
  }

  get full(): boolean {
    return this.#starts.length === runMax;
  }

  add(start: number, end: number, line: number): void {
    this.#starts.push(start);
    this.#ends.push(end);
    this.#lines.push(line);
  }

  /** Hands the records on and begins a new run. `lineEnd` is the byte that ends a line. */
  flush(source: Uint8Array, lineEnd: number): void {
    const count = this.#starts.length;
    if (count === 0) return;
    const rows = this.#parse(source, this.#starts[0]!, this.#ends[count - 1]!, lineEnd);
    for (let i = 0; i < count; i++) {
      const start = this.#starts[i]!;
      const end = this.#ends[i]!;
      const line = this.#lines[i]!;
      const row = rows?.length === count ? rows[i] : this.#parse(source, start, end, lineEnd)?.[0];
      if (row === undefined) this.#handler.reject('quotes', line, source, start, end);
      else this.#hand(row, source, start, end, line);
    }
    this.#starts.length = 0;
    this.#ends.length = 0;
    this.#lines.length = 0;
  }

  #parse(source: Uint8Array, start: number, end: number, lineEnd: number): string[][] | null {
    try {
      return parse(Buffer.from(source.buffer, source.byteOffset + start, end - start), {
        delimiter: this.#delimiter,
        encoding: 'latin1',
        record_delimiter: lineEnd === 13 ? '\r' : ['\r\n', '\n'],
        relax_column_count: true,
        skip_empty_lines: true,
      }) as string[][];
    } catch {
      // The caller tries the records one by one and rejects those that csv-parse refuses.
      return null;
    }
  }

  #hand(row: readonly string[], source: Uint8Array, start: number, end: number, line: number): void {
    const record = this.#record;
    if (this.#cells.length < end - start) this.#cells = Buffer.allocUnsafe((end - start) * 2);
    const count = Math.min(row.length, columnsMax + 1);
    let at = 0;
    for (let c = 0; c < count; c++) {
      record.starts[c] = at;
      at += this.#cells.write(row[c]!, at, 'latin1');
      record.ends[c] = at;
    }
    record.bytes = this.#cells;
    record.count = count;
    record.source = source;
    record.sourceStart = start;
    record.sourceEnd = end;
    record.line = line;
    this.#handler.record(record);
  }
}
