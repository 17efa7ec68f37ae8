/**
 * CSV records (RFC 4180) from bytes, as cells that are byte ranges: no string is made of a cell that nobody reads. Most
 * lines only need to be cut at their delimiters and quotes, which is done here; records with escaped quotes, or line ends
 * within quotes, are bounded by {@link RecordScan} and read by csv-parse in a {@link QuotedRun}. Lines may end in LF, CRLF
 * or, throughout, a lone CR; blank lines are no records.
 *
 * A record that breaks the quoting rules, or is longer than {@link recordMax}, costs one line: it is rejected, and reading
 * goes on at the next line. Where the bytes are cut into chunks changes nothing.
 */
import { QuotedRun } from './csv-quoted.ts';
import { type CsvHandler, type CsvRecord, columnsMax, newRecord, recordMax } from './csv-record.ts';
import { RecordScan } from './csv-scan.ts';
import { ByteWindow } from './window.ts';

const lf = 10;
const cr = 13;
const quote = 34;

/** Records in a row that cutting could have read, after which csv-parse is no longer asked. */
const plainStreakMax = 8;

export class CsvSplitter {
  readonly #handler: CsvHandler;
  readonly #delimiter: number;
  readonly #window = new ByteWindow();
  readonly #record: CsvRecord = newRecord();
  readonly #run: QuotedRun;
  readonly #scan: RecordScan;
  /** Byte that ends a line: LF, or CR where the first line ends in a lone one; 0 until a line end was seen. */
  #lineEnd = 0;
  /** Line of the first byte that has not become a record, from 1. */
  #line = 1;
  /** Within the rest of a line that was too long. */
  #skipping = false;

  /** `delimiter` is an ASCII byte other than the quote, CR and LF. */
  constructor(delimiter: number, handler: CsvHandler) {
    this.#handler = handler;
    this.#delimiter = delimiter;
    this.#run = new QuotedRun(delimiter, handler, this.#record);
    this.#scan = new RecordScan(delimiter);
  }

  /** Takes the next bytes. */
  push(piece: Uint8Array): void {
    const rest = this.#skipping ? this.#afterLongLine(piece) : piece;
    if (rest.length === 0) return;
    this.#window.append(rest);
    if (this.#lineEnd === 0) this.#findLineEnd(false);
    this.#read(false);
  }

  /** The end of the input: what is left is the last record. */
  end(): void {
    const window = this.#window;
    if (window.length === 0) return;
    if (this.#lineEnd === 0) this.#findLineEnd(true);
    if (this.#scan.open || window.bytes[window.end - 1] !== this.#lineEnd) {
      window.append(Uint8Array.of(this.#lineEnd));
    }
    this.#read(true);
  }

  /** The input broke off: what is left is no record. */
  abort(): void {
    const window = this.#window;
    if (window.length > 0) this.#handler.reject('cut-off', this.#line, window.bytes, window.start, window.end);
    window.clear();
  }

  #read(final: boolean): void {
    const window = this.#window;
    let at = window.start;
    if (this.#lineEnd !== 0) {
      const whole = window.bytes.subarray(window.start, window.end).lastIndexOf(this.#lineEnd) + 1 + window.start;
      if (this.#scan.open) at = this.#quoted(at, whole, final);
      while (at < whole && !this.#scan.open) {
        at = this.#plain(at, whole);
        if (at < whole) {
          this.#scan.begin();
          at = this.#quoted(at, whole, final);
        }
      }
    }
    window.start = at;
    if (this.#scan.open || window.length <= recordMax) return;
    this.#handler.reject('too-long', this.#line, window.bytes, window.start, window.end);
    this.#skipping = true;
    window.clear();
  }

  /**
   * Hands on the lines of `[from, whole)` up to the first one that cutting alone cannot read; returns where that one begins,
   * or `whole`. A quoted cell is cut at its quotes where nothing within it needs unescaping.
   */
  #plain(from: number, whole: number): number {
    const { bytes } = this.#window;
    const delimiter = this.#delimiter;
    const lineEnd = this.#lineEnd;
    const record = this.#record;
    const { starts, ends } = record;
    const special = Math.max(delimiter, quote);
    record.bytes = bytes;
    record.source = bytes;
    let at = from;
    while (at < whole) {
      let count = 0;
      let i = at;
      /** Where the cell's closing quote is, -1 for a cell without. */
      let closing = -1;
      starts[0] = at;
      for (; ; i++) {
        const byte = bytes[i]!;
        if (byte > special) continue;
        if (byte === delimiter) {
          ends[count] = closing < 0 ? i : closing;
          closing = -1;
          if (count < columnsMax) count += 1;
          starts[count] = i + 1;
        } else if (byte === lineEnd) break;
        else if (byte === quote) {
          if (i !== starts[count]) return at;
          closing = this.#closingQuote(i);
          if (closing < 0) return at;
          starts[count] = i + 1;
          i = closing;
        }
      }
      const end = lineEnd === lf && i > at && bytes[i - 1] === cr ? i - 1 : i;
      if (i - at > recordMax) this.#handler.reject('too-long', this.#line, bytes, at, end);
      else if (end > at) {
        ends[count] = closing < 0 ? end : closing;
        record.count = count + 1;
        record.sourceStart = at;
        record.sourceEnd = end;
        record.line = this.#line;
        this.#handler.record(record);
      }
      this.#line += 1;
      at = i + 1;
    }
    return at;
  }

  /**
   * Where the quote that opens at `open` closes, if that is on the same line, the cell holds no escaped quote and ends
   * there; else -1. The line's end must be in the window.
   */
  #closingQuote(open: number): number {
    const { bytes } = this.#window;
    const lineEnd = this.#lineEnd;
    let i = open + 1;
    while (bytes[i] !== quote && bytes[i] !== lineEnd) i++;
    if (bytes[i] === lineEnd) return -1;
    const next = bytes[i + 1];
    const ends = next === this.#delimiter || next === lineEnd || (next === cr && bytes[i + 2] === lineEnd);
    return ends ? i : -1;
  }

  /**
   * Hands on records from `from`, where the scan stands in one, until few records needed csv-parse, `whole` has been reached or a
   * record was broken. Returns where reading goes on; with the scan open that record is not all there yet.
   */
  #quoted(from: number, whole: number, final: boolean): number {
    const { bytes, end } = this.#window;
    const scan = this.#scan;
    let at = from;
    let streak = 0;
    for (;;) {
      const outcome = scan.run(bytes, at, end, this.#lineEnd);
      if (outcome === 'starved' && !final) {
        this.#run.flush(bytes, this.#lineEnd);
        return at;
      }
      if (outcome !== 'complete') {
        this.#run.flush(bytes, this.#lineEnd);
        // The rest of a broken record's first line may be still to come; a line too long is refused by the caller.
        if (bytes.subarray(at, end).indexOf(this.#lineEnd) < 0) {
          if (end - at > recordMax) scan.close();
          return at;
        }
        scan.close();
        return this.#rejectLine(at);
      }
      const lineEndAt = at + scan.length;
      const recordEnd =
        this.#lineEnd === lf && bytes[lineEndAt - 1] === cr && lineEndAt > at ? lineEndAt - 1 : lineEndAt;
      if (recordEnd > at) this.#run.add(at, recordEnd, this.#line);
      this.#line += scan.lines + 1;
      at = lineEndAt + 1;
      streak = scan.needsParser ? 0 : streak + 1;
      scan.close();
      const done = at >= whole || streak > plainStreakMax;
      if (done || this.#run.full) this.#run.flush(bytes, this.#lineEnd);
      if (done) return at;
      scan.begin();
    }
  }

  /** Rejects the line that begins at `at` and is all there; returns where the next one begins. */
  #rejectLine(at: number): number {
    const { bytes, start, end } = this.#window;
    const lineEndAt = bytes.subarray(at, end).indexOf(this.#lineEnd) + at;
    const lineStop =
      this.#lineEnd === lf && lineEndAt > start && bytes[lineEndAt - 1] === cr ? lineEndAt - 1 : lineEndAt;
    this.#handler.reject(
      lineEndAt - at > recordMax ? 'too-long' : 'quotes',
      this.#line,
      bytes,
      at,
      Math.max(at, lineStop),
    );
    this.#line += 1;
    return lineEndAt + 1;
  }

  /** What follows the line end of a line that was too long. */
  #afterLongLine(piece: Uint8Array): Uint8Array {
    const lineEndAt = piece.indexOf(this.#lineEnd === 0 ? lf : this.#lineEnd);
    if (lineEndAt < 0) return piece.subarray(piece.length);
    this.#skipping = false;
    this.#line += 1;
    return piece.subarray(lineEndAt + 1);
  }

  /** Looks for the first line end; a CR at the very end of what is there waits for what follows it, unless `final`. */
  #findLineEnd(final: boolean): void {
    const { bytes, start, end } = this.#window;
    let i = start;
    while (i < end && bytes[i] !== lf && bytes[i] !== cr) i++;
    if (i < end && bytes[i] === cr && (i + 1 < end || final))
      this.#lineEnd = bytes[i + 1] === lf && i + 1 < end ? lf : cr;
    else if (i < end && bytes[i] === lf) this.#lineEnd = lf;
    else if (final) this.#lineEnd = lf;
  }
}
