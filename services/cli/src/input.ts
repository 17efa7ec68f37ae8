/**
 * The input files of a run: from the names on the command line to streams of plain bytes. Compressed files are
 * decompressed as they are read.
 */
import { createReadStream, statSync } from 'node:fs';
import { extname } from 'node:path';
import { pipeline, Readable } from 'node:stream';
import { createGunzip } from 'node:zlib';
import { exitStatus, Failure, fileReason } from './failure.ts';

export const formats = ['csv', 'ndjson', 'json'] as const;
export type Format = (typeof formats)[number];

export interface InputFile {
  /** As it stands in sentences and rejects: the path as given, or `standard input`. */
  readonly name: string;
  /** null: the first bytes tell. */
  readonly format: Format | null;
  /** Bytes on the disk; null where not known. */
  readonly size: number | null;
  /** The bytes, decompressed; `onBytes` is told of bytes as they are read from the disk. May be called once. */
  open(onBytes: (count: number) => void): AsyncIterable<Uint8Array>;
}

/** An input that could not be read to its end; the message is a sentence part that follows the file's name. */
export class InputBroken extends Error {
  constructor(reason: string) {
    super(reason);
    this.name = 'InputBroken';
  }
}

const extensions: Readonly<Record<string, Format>> = {
  '.csv': 'csv',
  '.ndjson': 'ndjson',
  '.jsonl': 'ndjson',
  '.json': 'json',
};

/** Bytes asked of the disk at once. */
const chunkBytes = 256 * 1024;

/**
 * The files of a run in the order given; `-` is standard input.
 *
 * @throws Failure of status 2 where a format cannot be told or standard input stands twice
 */
export function inputFiles(names: readonly string[], format: Format | null, standardInput: Readable): InputFile[] {
  if (names.filter((name) => name === '-').length > 1) {
    throw new Failure(exitStatus.usage, 'standard input (-) can be read only once: expected one - among the files.');
  }
  return names.map((name) => (name === '-' ? fromStream(standardInput, format) : fromPath(name, format)));
}

function fromPath(path: string, given: Format | null): InputFile {
  const lower = path.toLowerCase();
  const compressed = lower.endsWith('.gz');
  const extension = extname(compressed ? lower.slice(0, -3) : lower);
  const format = given ?? extensions[extension];
  if (format === undefined) {
    const sentence = `the format of ${path} cannot be told from its name: expected .csv, .ndjson, .jsonl or .json, each also with .gz, or the option --format.`;
    throw new Failure(exitStatus.usage, sentence);
  }
  return {
    name: path,
    format,
    size: sizeOf(path),
    open: (onBytes) => {
      const bytes = counted(createReadStream(path, { highWaterMark: chunkBytes }), onBytes);
      return compressed ? decompressed(bytes) : bytes;
    },
  };
}

function fromStream(stream: Readable, format: Format | null): InputFile {
  return {
    name: 'standard input',
    format,
    size: null,
    async *open(onBytes) {
      const [head, bytes] = await peek(counted(stream, onBytes));
      yield* head?.[0] === 0x1f && head[1] === 0x8b ? decompressed(bytes) : bytes;
    },
  };
}

/** The format that the first bytes show: an object a line, one array, or a header row. Gives all the bytes on. */
export async function formatOf(bytes: AsyncIterable<Uint8Array>): Promise<[Format, AsyncIterable<Uint8Array>]> {
  const [head, all] = await peek(bytes);
  const first = /[^\s\uFEFF]/.exec(new TextDecoder().decode(head?.subarray(0, 256)))?.[0];
  return [first === '{' ? 'ndjson' : first === '[' ? 'json' : 'csv', all];
}

async function peek(bytes: AsyncIterable<Uint8Array>): Promise<[Uint8Array | null, AsyncIterable<Uint8Array>]> {
  const iterator = bytes[Symbol.asyncIterator]();
  const first = await iterator.next();
  const rest = async function* () {
    if (first.done) return;
    yield first.value;
    yield* { [Symbol.asyncIterator]: () => iterator };
  };
  return [first.done ? null : first.value, rest()];
}

async function* counted(stream: Readable, onBytes: (count: number) => void): AsyncGenerator<Uint8Array> {
  try {
    for await (const chunk of stream) {
      onBytes((chunk as Buffer).length);
      yield chunk as Buffer;
    }
  } catch (error) {
    throw new InputBroken(`could not be read: ${fileReason(error)}`);
  }
}

async function* decompressed(bytes: AsyncIterable<Uint8Array>): AsyncGenerator<Uint8Array> {
  const gunzip = createGunzip({ chunkSize: chunkBytes });
  // A failure of either stream reaches the reader below; the callback has nothing to add.
  pipeline(Readable.from(bytes, { objectMode: true }), gunzip, () => {});
  try {
    for await (const chunk of gunzip) yield chunk as Buffer;
  } catch (error) {
    if (error instanceof InputBroken) throw error;
    throw new InputBroken(gzipReason(error));
  }
}

function gzipReason(error: unknown): string {
  const code = (error as NodeJS.ErrnoException).code;
  if (code === 'Z_BUF_ERROR') return 'ends in the middle of its gzip data: it was cut off, or is still being written';
  const message = error instanceof Error ? error.message : '';
  if (message.includes('header')) return 'is not gzip data, although its name or its first bytes say so';
  return 'has damaged gzip data';
}

function sizeOf(path: string): number | null {
  try {
    return statSync(path).size;
  } catch {
    // What is wrong with the file is told when it is opened.
    return null;
  }
}
