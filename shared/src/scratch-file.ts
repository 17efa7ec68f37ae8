/**
 * A temporary file that leaves nothing behind. Its name is removed as soon as it is open, so that even a killed process
 * frees the disk; where the system keeps an open file's name (Windows), it goes when the file is closed or at exit.
 * Synchronous on purpose: it is written and read in blocks of megabytes between two steps of a pure computation.
 */
import { closeSync, mkdtempSync, openSync, readSync, rmSync, writeSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { exitStatus, Failure, fileReason } from './failure.ts';

export class ScratchFile {
  readonly #folder: string;
  readonly #descriptor: number;
  readonly #atExit: () => void;
  #length = 0;

  /** @throws Failure of status 1 where the temporary folder cannot be written */
  constructor() {
    try {
      this.#folder = mkdtempSync(join(tmpdir(), 'gearhold-'));
      this.#atExit = () => rmSync(this.#folder, { recursive: true, force: true });
      process.once('exit', this.#atExit);
      this.#descriptor = openSync(join(this.#folder, 'rows'), 'wx+', 0o600);
    } catch (error) {
      throw failure('cannot be written', error);
    }
    try {
      this.#atExit();
    } catch {
      // The name stays until close() or the end of the process.
    }
  }

  /** Bytes written so far. */
  get length(): number {
    return this.#length;
  }

  /** Appends bytes. @throws Failure of status 1 where the disk is full */
  append(bytes: Uint8Array): void {
    try {
      let done = 0;
      while (done < bytes.length)
        done += writeSync(this.#descriptor, bytes, done, bytes.length - done, this.#length + done);
    } catch (error) {
      throw failure('cannot be written', error);
    }
    this.#length += bytes.length;
  }

  /** Fills `target` from `position` on; the bytes must have been written. */
  read(target: Uint8Array, position: number): void {
    try {
      let done = 0;
      while (done < target.length) {
        const count = readSync(this.#descriptor, target, done, target.length - done, position + done);
        if (count === 0) throw new RangeError(`scratch file: read past its end at ${position + done}`);
        done += count;
      }
    } catch (error) {
      if (error instanceof RangeError) throw error;
      throw failure('cannot be read back', error);
    }
  }

  close(): void {
    closeSync(this.#descriptor);
    process.off('exit', this.#atExit);
    this.#atExit();
  }
}

function failure(what: string, error: unknown): Failure {
  const sentence = `the temporary folder ${tmpdir()} ${what}: ${fileReason(error)}; set TMPDIR to a folder with room.`;
  return new Failure(exitStatus.fault, sentence);
}
