/**
 * One JSON array, cut into its elements as the bytes come, so that memory does not grow with the array. Only brackets,
 * strings and commas are looked at here; each element is checked when it is parsed. An element that is no JSON, or too
 * long, costs itself; where the array itself breaks, what came before has been handed on.
 */
import { recordMax } from './csv-record.ts';
import type { TextHandler } from './lines.ts';
import { InputUnreadableError } from './unreadable.ts';
import { ByteWindow } from './window.ts';

const quote = 34;
const comma = 44;
const open = 91;
const backslash = 92;
const close = 93;
const openBrace = 123;
const closeBrace = 125;
const lf = 10;

const beforeArray = 0;
const beforeElement = 1;
const inElement = 2;
const inString = 3;
const inEscape = 4;
const afterArray = 5;

export class JsonArraySplitter {
  readonly #handler: TextHandler;
  readonly #fileName: string;
  readonly #window = new ByteWindow();
  #state = beforeArray;
  #depth = 0;
  /** Line of the byte looked at, and of the element's first byte. */
  #line = 1;
  #elementLine = 1;
  /** Bytes of the window already looked at. */
  #looked = 0;
  /** Whether the element is too long and only its end is wanted. */
  #skipping = false;

  constructor(handler: TextHandler, fileName: string) {
    this.#handler = handler;
    this.#fileName = fileName;
  }

  push(piece: Uint8Array): void {
    const window = this.#window;
    window.append(piece);
    const { bytes, end } = window;
    for (let i = window.start + this.#looked; i < end; i++) {
      const byte = bytes[i]!;
      if (byte === lf) this.#line += 1;
      if (this.#state === inString) {
        if (byte === quote) this.#state = inElement;
        else if (byte === backslash) this.#state = inEscape;
      } else if (this.#state === inEscape) this.#state = inString;
      else if (this.#state === inElement || !isSpace(byte)) this.#structure(byte, i);
    }
    if (this.#state < inElement || this.#state === afterArray || this.#skipping) window.clear();
    else if (window.length > recordMax) {
      this.#handler.reject('too-long', this.#elementLine, bytes, window.start, end);
      this.#skipping = true;
      window.clear();
    }
    this.#looked = window.length;
  }

  /** The end of the input: the array must have ended too. */
  end(): void {
    if (this.#state === afterArray) return;
    this.abort();
    throw this.#state === beforeArray
      ? new InputUnreadableError('empty', this.#fileName, 'is empty: one array of readings is expected')
      : new InputUnreadableError(
          'cut-off',
          this.#fileName,
          'could not be read to its end: the array has no closing bracket; send the file again',
        );
  }

  /** The input broke off. */
  abort(): void {
    const window = this.#window;
    if (window.length > 0 && this.#state >= inElement && this.#state < afterArray) {
      this.#handler.reject('cut-off', this.#elementLine, window.bytes, window.start, window.end);
    }
    window.clear();
    this.#looked = 0;
  }

  /** A byte outside strings that is not a space, at `at` in the window. */
  #structure(byte: number, at: number): void {
    if (this.#state === beforeArray) {
      if (byte !== open) throw this.#notAnArray(byte);
      this.#state = beforeElement;
      return;
    }
    if (this.#state === afterArray) {
      throw new InputUnreadableError(
        'not-an-array',
        this.#fileName,
        `goes on after the array has ended (line ${this.#line}); one array of readings is expected`,
      );
    }
    if (this.#state === beforeElement) {
      if (byte === close) {
        this.#state = afterArray;
        return;
      }
      this.#state = inElement;
      this.#depth = 0;
      this.#elementLine = this.#line;
      this.#skipping = false;
      this.#window.start = at;
    }
    if (byte === quote) this.#state = inString;
    else if (byte === open || byte === openBrace) this.#depth += 1;
    else if (this.#depth === 0 && (byte === comma || byte === close)) {
      this.#element(at);
      this.#state = byte === comma ? beforeElement : afterArray;
    } else if (byte === close || byte === closeBrace) this.#depth = Math.max(0, this.#depth - 1);
  }

  #element(end: number): void {
    if (this.#skipping) return;
    const { bytes, start } = this.#window;
    if (end - start > recordMax) this.#handler.reject('too-long', this.#elementLine, bytes, start, end);
    else if (end === start) this.#handler.reject('not-json', this.#elementLine, bytes, start, end);
    else this.#handler.text(bytes, start, end, this.#elementLine);
    this.#window.start = end;
  }

  #notAnArray(byte: number): InputUnreadableError {
    const advice =
      byte === openBrace ? 'if it holds one object a line, read it as ndjson' : 'one array of readings is expected';
    return new InputUnreadableError(
      'not-an-array',
      this.#fileName,
      `does not begin with an opening bracket; ${advice}`,
    );
  }
}

function isSpace(byte: number): boolean {
  return byte === 32 || byte === lf || byte === 13 || byte === 9;
}
