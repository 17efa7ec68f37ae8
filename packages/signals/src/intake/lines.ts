/** Lines of NDJSON as byte ranges: one JSON text a line, ended by LF or CRLF; blank lines are none. */
import { recordMax } from './csv-record.ts';
import { ByteWindow } from './window.ts';

const lf = 10;
const cr = 13;

export interface TextHandler {
  /** One JSON text: `bytes[start, end)`, beginning at `line`. */
  text(bytes: Buffer, start: number, end: number, line: number): void;
  reject(
    reason: 'too-long' | 'cut-off' | 'not-json',
    line: number,
    bytes: Uint8Array,
    start: number,
    end: number,
  ): void;
}

export class LineSplitter {
  readonly #handler: TextHandler;
  readonly #window = new ByteWindow();
  #line = 1;
  #skipping = false;

  constructor(handler: TextHandler) {
    this.#handler = handler;
  }

  push(piece: Uint8Array): void {
    let from = 0;
    if (this.#skipping) {
      const at = piece.indexOf(lf);
      if (at < 0) return;
      from = at + 1;
      this.#skipping = false;
      this.#line += 1;
    }
    const window = this.#window;
    window.append(piece.subarray(from));
    let searchFrom = window.end - (piece.length - from);
    for (;;) {
      const at = window.bytes.indexOf(lf, searchFrom);
      // Behind the end stand bytes that were used up long ago.
      if (at < 0 || at >= window.end) break;
      this.#hand(at);
      searchFrom = at + 1;
      window.start = searchFrom;
      this.#line += 1;
    }
    if (window.length <= recordMax) return;
    this.#handler.reject('too-long', this.#line, window.bytes, window.start, window.end);
    this.#skipping = true;
    window.clear();
  }

  /** The end of the input. */
  end(): void {
    if (this.#window.length > 0) this.#hand(this.#window.end);
    this.#window.clear();
  }

  /** The input broke off. */
  abort(): void {
    const window = this.#window;
    if (window.length > 0) this.#handler.reject('cut-off', this.#line, window.bytes, window.start, window.end);
    window.clear();
  }

  #hand(lineEndAt: number): void {
    const { bytes, start } = this.#window;
    const end = lineEndAt > start && bytes[lineEndAt - 1] === cr ? lineEndAt - 1 : lineEndAt;
    if (lineEndAt - start > recordMax) this.#handler.reject('too-long', this.#line, bytes, start, end);
    else if (!isBlank(bytes, start, end)) this.#handler.text(bytes, start, end, this.#line);
  }
}

function isBlank(bytes: Uint8Array, start: number, end: number): boolean {
  for (let i = start; i < end; i++) if (bytes[i] !== 32 && bytes[i] !== 9) return false;
  return true;
}
