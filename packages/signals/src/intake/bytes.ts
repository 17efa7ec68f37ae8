/**
 * From a byte stream as it comes to plain UTF-8 text bytes without a byte-order mark: gzip is recognised by its magic
 * bytes and decompressed, other compressions, encodings and binary files end in a sentence. Everything that could be
 * read before a failure is delivered before it. Memory stays bounded whatever the compression ratio.
 */
import { createGunzip } from 'node:zlib';
import { InputUnreadableError } from './unreadable.ts';

/** Bytes in chunks, as `node:stream` readables and async generators give them. */
export type ByteSource = AsyncIterable<Uint8Array | string>;

/** Bytes looked at to tell text from something else. */
const headSize = 4096;

/**
 * Compressed bytes fed to zlib at a time: deflate expands at most 1032 to 1, so at most 8 MiB come back before they are
 * handed on.
 */
const gzipStep = 8192;

/** Longest piece handed on. */
const pieceSize = 131_072;

/** Beginnings of files that are not text, and what a person can do about each. */
const foreign: readonly (readonly [string, string])[] = [
  ['504b0304', 'is a zip archive or a spreadsheet: unpack it, or save it as CSV'],
  ['28b52ffd', 'is compressed with zstd: decompress it, or use gzip'],
  ['fd377a58', 'is compressed with xz: decompress it, or use gzip'],
  ['425a68', 'is compressed with bzip2: decompress it, or use gzip'],
  ['50415231', 'is a Parquet file: export it as CSV or NDJSON'],
  ['25504446', 'is a PDF document: export the readings as CSV or NDJSON'],
];

/** `gzip`: true by its name (then it must be), false for never, undefined to look at the first bytes. */
export async function* textBytes(
  source: ByteSource,
  fileName: string,
  gzip?: boolean | undefined,
): AsyncGenerator<Uint8Array> {
  const raw = headed(guarded(source, fileName), 2);
  const opened = headed(gzip === false ? raw : gunzipped(raw, fileName, gzip === true), headSize);
  let first = true;
  for await (const chunk of opened) {
    let from = 0;
    if (first) {
      first = false;
      refuseForeign(chunk, fileName);
      if (chunk[0] === 0xef && chunk[1] === 0xbb && chunk[2] === 0xbf) from = 3;
    }
    for (; from < chunk.length; from += pieceSize) yield chunk.subarray(from, from + pieceSize);
  }
}

/** What the system reports while reading, as a sentence. */
async function* guarded(source: ByteSource, fileName: string): AsyncGenerator<Uint8Array> {
  try {
    for await (const chunk of source) yield typeof chunk === 'string' ? Buffer.from(chunk) : chunk;
  } catch (cause) {
    const code = (cause as { code?: unknown } | null)?.code;
    const reported = typeof code === 'string' ? code : cause instanceof Error ? cause.message : String(cause);
    throw new InputUnreadableError(
      'system',
      fileName,
      `could not be read to its end (${reported}); check that it is a file and may be read`,
      cause,
    );
  }
}

/** The same bytes; the first chunk holds at least `size` of them where there are as many. */
async function* headed(source: AsyncIterable<Uint8Array>, size: number): AsyncGenerator<Uint8Array> {
  let head: Uint8Array[] | null = [];
  let length = 0;
  let failure: { readonly error: unknown } | null = null;
  try {
    for await (const chunk of source) {
      if (head === null) {
        yield chunk;
        continue;
      }
      if (chunk.length === 0) continue;
      head.push(chunk);
      length += chunk.length;
      if (length < size) continue;
      const joined = head.length === 1 ? chunk : Buffer.concat(head);
      head = null;
      yield joined;
    }
  } catch (error) {
    failure = { error };
  }
  if (head !== null && length > 0) yield Buffer.concat(head);
  if (failure !== null) throw failure.error;
}

async function* gunzipped(
  source: AsyncIterable<Uint8Array>,
  fileName: string,
  mustBe: boolean,
): AsyncGenerator<Uint8Array> {
  let unzip: Unzip | null = null;
  let plain = false;
  for await (const chunk of source) {
    if (unzip === null && !plain) {
      plain = !(chunk[0] === 0x1f && chunk[1] === 0x8b);
      if (plain && mustBe) throw notGzip(fileName);
      if (!plain) unzip = new Unzip(fileName);
    }
    if (unzip === null) {
      yield chunk;
      continue;
    }
    for (let from = 0; from < chunk.length; from += gzipStep) {
      yield* await unzip.write(chunk.subarray(from, from + gzipStep));
      unzip.throwFailure();
    }
  }
  if (unzip !== null) {
    yield* await unzip.end();
    unzip.throwFailure();
  } else if (mustBe && !plain) throw notGzip(fileName);
}

/**
 * zlib fed one step at a time: a stage that reads at its own pace would lose what is still buffered when an error comes.
 */
class Unzip {
  readonly #fileName: string;
  readonly #zlib = createGunzip({ chunkSize: 65_536 });
  #out: Uint8Array[] = [];
  #failure: Error | null = null;

  constructor(fileName: string) {
    this.#fileName = fileName;
    this.#zlib.on('data', (chunk: Uint8Array) => this.#out.push(chunk));
    this.#zlib.on('error', (error) => {
      this.#failure = error;
    });
  }

  async write(step: Uint8Array): Promise<Uint8Array[]> {
    const zlib = this.#zlib;
    if (this.#failure !== null) return this.#take();
    await new Promise<void>((resolve) => {
      // Damaged data close the stream, and then a write is never answered.
      zlib.once('close', resolve);
      zlib.write(step, () => {
        zlib.off('close', resolve);
        resolve();
      });
    });
    return this.#take();
  }

  async end(): Promise<Uint8Array[]> {
    if (this.#failure === null) {
      await new Promise<void>((resolve) => {
        this.#zlib.once('close', resolve);
        this.#zlib.end();
      });
    }
    return this.#take();
  }

  throwFailure(): void {
    if (this.#failure === null) return;
    throw new InputUnreadableError(
      'gzip',
      this.#fileName,
      `could not be read to its end: the gzip data ${reasonOf(this.#failure)}; send the file again`,
      this.#failure,
    );
  }

  #take(): Uint8Array[] {
    const out = this.#out;
    this.#out = [];
    return out;
  }
}

function reasonOf(failure: Error): string {
  return (failure as { code?: string }).code === 'Z_BUF_ERROR' ? 'stop before their end' : 'are damaged';
}

function notGzip(fileName: string): InputUnreadableError {
  return new InputUnreadableError(
    'gzip',
    fileName,
    'is named as gzip but does not begin as gzip data do; if it is plain text, drop .gz from its name',
  );
}

function refuseForeign(head: Uint8Array, fileName: string): void {
  const hex = Buffer.from(head.subarray(0, 4)).toString('hex');
  for (const [magic, what] of foreign) {
    if (hex.startsWith(magic)) throw new InputUnreadableError('binary', fileName, what);
  }
  const nul = head.subarray(0, headSize).indexOf(0);
  if (hex.startsWith('fffe') || hex.startsWith('feff') || (nul >= 0 && isWide(head))) {
    throw new InputUnreadableError('encoding', fileName, 'is written in UTF-16 or UTF-32: save it as UTF-8');
  }
  if (nul >= 0) {
    throw new InputUnreadableError(
      'binary',
      fileName,
      `is not text: byte ${nul + 1} is a NUL; CSV, NDJSON or JSON in UTF-8 is expected`,
    );
  }
}

/** Whether the beginning looks like Latin text in two or four bytes a character: many NULs, else only text bytes. */
function isWide(head: Uint8Array): boolean {
  const length = Math.min(head.length, 64) & ~3;
  let nuls = 0;
  for (let i = 0; i < length; i++) {
    const byte = head[i]!;
    if (byte === 0) nuls += 1;
    else if (!(byte === 9 || byte === 10 || byte === 13 || (byte >= 32 && byte < 127))) return false;
  }
  return length > 0 && nuls >= length / 4;
}
