/** Which file it is, by content: the same bytes are the same file, whatever its name. */
import { createHash } from 'node:crypto';
import { createReadStream } from 'node:fs';
import { stat } from 'node:fs/promises';
import { exitStatus, Failure, fileReason } from '@gearhold/shared';

export interface Content {
  /** 64 hexadecimal digits. */
  readonly sha256: string;
  readonly bytes: number;
}

/** @throws Failure of status 3 where the file cannot be read to its end */
export async function contentOf(path: string): Promise<Content> {
  const hash = createHash('sha256');
  let bytes = 0;
  try {
    for await (const chunk of createReadStream(path, { highWaterMark: 1 << 20 })) {
      hash.update(chunk as Buffer);
      bytes += (chunk as Buffer).length;
    }
  } catch (error) {
    throw new Failure(exitStatus.input, `${path} cannot be read: ${fileReason(error)}.`);
  }
  return { sha256: hash.digest('hex'), bytes };
}

/** What changes when somebody writes to a file: compared before and after reading it. */
export async function stampOf(path: string): Promise<string> {
  try {
    const { size, mtimeMs, ino } = await stat(path);
    return `${ino} ${size} ${mtimeMs}`;
  } catch (error) {
    throw new Failure(exitStatus.input, `${path} cannot be read: ${fileReason(error)}.`);
  }
}
