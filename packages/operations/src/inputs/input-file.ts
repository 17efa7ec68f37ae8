/**
 * The input files of a run: from the names on the command line to streams of bytes as they stand on the disk. Format and
 * compression are told from the name; what the bytes hold is for the readers.
 */
import { createReadStream, statSync } from 'node:fs';
import type { Readable } from 'node:stream';
import { constants, gunzipSync } from 'node:zlib';
import { exitStatus, Failure, fileReason } from '@gearhold/shared';
import { formatOfName, type InputFormat } from '@gearhold/signals';

export interface InputFile {
  /** As it stands in sentences and rejects: the path as given, or `standard input`. */
  readonly name: string;
  /** null: the first bytes tell. */
  readonly format: InputFormat | null;
  /** Whether its name says gzip; left out: the first bytes tell. */
  readonly gzip?: true | undefined;
  /** Bytes on the disk; null where not known. */
  readonly size: number | null;
  /** `onBytes` is told of bytes as they are read. May be called once. Fails with a sentence part as its message. */
  open(onBytes: (count: number) => void): AsyncIterable<Uint8Array>;
}

/** Bytes asked of the disk at once. */
const chunkBytes = 256 * 1024;
/** Bytes looked at to tell a format. */
const headBytes = 1024;

/**
 * The files of a run in the order given; `-` is standard input.
 *
 * @throws Failure of status 2 where a format cannot be told or standard input stands twice
 */
export function inputFiles(names: readonly string[], format: InputFormat | null, standardInput: Readable): InputFile[] {
  if (names.filter((name) => name === '-').length > 1) {
    throw new Failure(exitStatus.usage, 'standard input (-) can be read only once: expected one - among the files.');
  }
  return names.map((name) => (name === '-' ? fromStream(standardInput, format) : fromPath(name, format)));
}

function fromPath(path: string, given: InputFormat | null): InputFile {
  const named = formatOfName(path);
  const format = given ?? named.format;
  if (format === null) {
    const sentence = `the format of ${path} cannot be told from its name: expected .csv, .ndjson, .jsonl or .json, each also with .gz, or the option --format.`;
    throw new Failure(exitStatus.usage, sentence);
  }
  const open: InputFile['open'] = (onBytes) => counted(createReadStream(path, { highWaterMark: chunkBytes }), onBytes);
  return { name: path, format, gzip: named.gzip, size: sizeOf(path), open };
}

function fromStream(stream: Readable, format: InputFormat | null): InputFile {
  return { name: 'standard input', format, size: null, open: (onBytes) => counted(stream, onBytes) };
}

/**
 * The format that the first bytes show: an object a line, one array, or else a header row. Gives all the bytes on.
 * Whatever is wrong with them is for the reader to say.
 */
export async function formatOfBytes(
  bytes: AsyncIterable<Uint8Array>,
): Promise<{ format: InputFormat; bytes: AsyncIterable<Uint8Array> }> {
  const iterator = bytes[Symbol.asyncIterator]();
  const first = await iterator.next();
  const all = async function* () {
    if (first.done) return;
    yield first.value;
    yield* { [Symbol.asyncIterator]: () => iterator };
  };
  const head = first.done ? '' : textOf(first.value.subarray(0, headBytes));
  const character = /[^\s\uFEFF]/.exec(head)?.[0];
  return { format: character === '{' ? 'ndjson' : character === '[' ? 'json' : 'csv', bytes: all() };
}

function textOf(head: Uint8Array): string {
  const plain = head[0] === 0x1f && head[1] === 0x8b ? beginningOf(head) : head;
  return new TextDecoder().decode(plain);
}

function beginningOf(gzip: Uint8Array): Uint8Array {
  try {
    return gunzipSync(gzip, { finishFlush: constants.Z_SYNC_FLUSH });
  } catch {
    return new Uint8Array();
  }
}

async function* counted(stream: Readable, onBytes: (count: number) => void): AsyncGenerator<Uint8Array> {
  try {
    for await (const chunk of stream) {
      onBytes((chunk as Buffer).length);
      yield chunk as Buffer;
    }
  } catch (error) {
    throw new Error(fileReason(error), { cause: error });
  }
}

function sizeOf(path: string): number | null {
  try {
    return statSync(path).size;
  } catch {
    // What is wrong with the file is told when it is opened.
    return null;
  }
}
