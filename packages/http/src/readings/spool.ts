/**
 * A batch of readings as it arrives, on the disk until it is stored: it is read twice, once to know whether it came before. What
 * it unpacks to has a limit.
 */
import { createHash, randomUUID } from 'node:crypto';
import { createWriteStream } from 'node:fs';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type Readable, Transform } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import { createGunzip } from 'node:zlib';
import { ProblemError } from '../problems/problem.ts';

export interface Spooled {
  readonly path: string;
  /** Of the unpacked bytes, hexadecimal. */
  readonly sha256: string;
  remove(): Promise<void>;
}

/** @throws ProblemError `body-too-large`, `body-unreadable`, `media-type-unknown` */
export async function spool(body: Readable, encoding: string | undefined, limitBytes: number): Promise<Spooled> {
  const packed = encodingOf(encoding);
  const folder = await mkdtemp(join(tmpdir(), 'gearhold-batch-'));
  const path = join(folder, randomUUID());
  const hash = createHash('sha256');
  let bytes = 0;
  const counted = new Transform({
    transform(chunk: Buffer, _, done) {
      bytes += chunk.length;
      if (bytes > limitBytes) {
        done(new ProblemError('body-too-large', `A batch may unpack to ${limitBytes} bytes; send it in several.`));
        return;
      }
      hash.update(chunk);
      done(null, chunk);
    },
  });
  const remove = () => rm(folder, { recursive: true, force: true });
  try {
    const out = createWriteStream(path);
    if (packed) await pipeline(body, createGunzip(), counted, out);
    else await pipeline(body, counted, out);
  } catch (error) {
    await remove();
    throw problemOf(error);
  }
  return { path, sha256: hash.digest('hex'), remove };
}

function encodingOf(encoding: string | undefined): boolean {
  const name = encoding?.trim().toLowerCase() ?? 'identity';
  if (name === 'gzip' || name === 'x-gzip') return true;
  if (name === 'identity' || name === '') return false;
  throw new ProblemError('media-type-unknown', `Content-Encoding ${name} is not taken: expected gzip, or none.`);
}

function problemOf(error: unknown): unknown {
  const code = (error as NodeJS.ErrnoException).code ?? '';
  if (code.startsWith('Z_') || code === 'ERR_STREAM_PREMATURE_CLOSE' || code === 'ECONNRESET') {
    return new ProblemError('body-unreadable', undefined, { cause: error });
  }
  return error;
}
