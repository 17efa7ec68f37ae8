/**
 * A file that appears whole or not at all: written beside its name and renamed at the end. A name that is not a plain
 * file (a device, a pipe) is written to directly, since renaming would replace it.
 */
import { closeSync, fsyncSync, openSync, realpathSync, renameSync, rmSync, statSync, writeSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { exitStatus, Failure, fileReason } from './failure.ts';

const blockBytes = 256 * 1024;

export class AtomicFile {
  readonly #name: string;
  readonly #what: string;
  readonly #target: string;
  /** Where it is written until the end; null = directly. */
  readonly #temporary: string | null;
  readonly #descriptor: number;
  readonly #atExit: () => void;
  readonly #block = Buffer.allocUnsafeSlow(blockBytes);
  #used = 0;
  #open = true;

  /**
   * `what` names its role in sentences, such as `output file`.
   *
   * @throws Failure of status 2 where it cannot be created
   */
  constructor(name: string, what: string) {
    this.#name = name;
    this.#what = what;
    try {
      const existing = statSync(name, { throwIfNoEntry: false });
      if (existing?.isDirectory()) throw Object.assign(new Error('folder'), { code: 'EISDIR' });
      this.#target = existing === undefined ? name : realpathSync(name);
      const direct = existing !== undefined && !existing.isFile();
      const temporary = join(dirname(this.#target), `.${basename(this.#target)}.${process.pid}.part`);
      this.#temporary = direct ? null : temporary;
      this.#descriptor = direct ? openSync(name, 'w') : openSync(temporary, 'w', (existing?.mode ?? 0o666) & 0o777);
    } catch (error) {
      throw new Failure(exitStatus.usage, `${what} ${name} cannot be written: ${fileReason(error)}.`);
    }
    this.#atExit = () => this.#discard();
    process.once('exit', this.#atExit);
  }

  /** Appends text. @throws Failure of status 1 where the disk is full */
  write(text: string): void {
    const length = Buffer.byteLength(text);
    if (this.#used + length > blockBytes) this.#flush();
    if (length > blockBytes) this.#writeOut(Buffer.from(text));
    else this.#used += this.#block.write(text, this.#used);
  }

  /** Puts the file in its place. */
  commit(): void {
    this.#flush();
    try {
      if (this.#temporary !== null) fsyncSync(this.#descriptor);
      closeSync(this.#descriptor);
      this.#open = false;
      if (this.#temporary !== null) renameSync(this.#temporary, this.#target);
    } catch (error) {
      throw this.#failure(error);
    }
    process.off('exit', this.#atExit);
  }

  /** Leaves what stood there before. */
  abandon(): void {
    process.off('exit', this.#atExit);
    this.#discard();
  }

  #discard(): void {
    if (this.#open) closeSync(this.#descriptor);
    this.#open = false;
    if (this.#temporary !== null) rmSync(this.#temporary, { force: true });
  }

  #flush(): void {
    this.#writeOut(this.#block.subarray(0, this.#used));
    this.#used = 0;
  }

  #writeOut(bytes: Uint8Array): void {
    try {
      for (let done = 0; done < bytes.length; ) done += writeSync(this.#descriptor, bytes, done, bytes.length - done);
    } catch (error) {
      throw this.#failure(error);
    }
  }

  #failure(error: unknown): Failure {
    const sentence = `${this.#what} ${this.#name} could not be written to its end: ${fileReason(error)}.`;
    return new Failure(exitStatus.fault, sentence);
  }
}
