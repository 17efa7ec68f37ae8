/**
 * Finds where a record with quotes ends (RFC 4180, 2.5 to 2.7), and can stop and go on wherever the bytes at hand end.
 * A quote opens only at the beginning of a cell; after the closing quote only a delimiter or a line end may follow.
 */
import { recordMax } from './csv-record.ts';

const lf = 10;
const cr = 13;
const quote = 34;

const atCellStart = 0;
const inPlain = 1;
const inQuotes = 2;
const afterQuote = 3;
const afterReturn = 4;

export class RecordScan {
  readonly #delimiter: number;
  #state = atCellStart;
  /** Whether a record has been begun and not closed. */
  open = false;
  /** Bytes of the record read so far; once complete, where its line end is. */
  length = 0;
  /** Line ends within quotes so far. */
  lines = 0;
  /** Whether the record holds an escaped quote or a line end within quotes. */
  needsParser = false;

  constructor(delimiter: number) {
    this.#delimiter = delimiter;
  }

  begin(): void {
    this.#state = atCellStart;
    this.open = true;
    this.length = 0;
    this.lines = 0;
    this.needsParser = false;
  }

  close(): void {
    this.open = false;
  }

  /** Reads on in `bytes[start, end)`, `start` being where the record begins. */
  run(bytes: Uint8Array, start: number, end: number, lineEnd: number): 'complete' | 'starved' | 'broken' {
    const delimiter = this.#delimiter;
    let state = this.#state;
    let i = start + this.length;
    let outcome: 'complete' | 'starved' | 'broken' = 'starved';
    for (; i < end; i++) {
      const byte = bytes[i]!;
      if (i - start > recordMax) {
        outcome = 'broken';
        break;
      }
      if (state === inQuotes) {
        if (byte === quote) state = afterQuote;
        else if (byte === lineEnd) {
          this.lines += 1;
          this.needsParser = true;
        }
        continue;
      }
      if (byte === lineEnd) {
        outcome = 'complete';
        break;
      }
      if (byte === delimiter && state !== afterReturn) state = atCellStart;
      else if (byte === quote && state === atCellStart) state = inQuotes;
      else if (byte === quote && state === afterQuote) {
        state = inQuotes;
        this.needsParser = true;
      } else if (byte === cr && state === afterQuote && lineEnd === lf) state = afterReturn;
      else if (byte === quote || state >= afterQuote) {
        outcome = 'broken';
        break;
      } else state = inPlain;
    }
    this.#state = state;
    this.length = i - start;
    return outcome;
  }
}
