/**
 * Batches of readings into the store, by the same path as files. So many are written at once and so many more may wait; what comes
 * beyond is turned away, and nothing of it was taken.
 */

import { driversOf, type IngestedFile, ingestFile } from '@gearhold/operations/intake';
import { contractMapping, type InputFormat } from '@gearhold/signals';
import { readSetting } from '@gearhold/store';
import { ProblemError } from '../problems/problem.ts';
import type { Context } from '../service/context.ts';

const writersMax = 2;
const waitingMax = 64;

export class Batches {
  readonly #context: Context;
  #writing = 0;
  readonly #waiting: (() => void)[] = [];

  constructor(context: Context) {
    this.#context = context;
  }

  /** Batches that are written or wait. */
  get depth(): number {
    return this.#writing + this.#waiting.length;
  }

  /** @throws ProblemError `intake-full` */
  async take(batchId: string, path: string, format: InputFormat): Promise<IngestedFile> {
    await this.#turn();
    try {
      const { store, clock } = this.#context;
      const asked = (await readSetting(store, 'drivers')) === null ? ('named' as const) : undefined;
      const kept = await driversOf(store, asked, clock.now());
      return await ingestFile(store, {
        path,
        name: `batch ${batchId}`,
        format,
        mapping: contractMapping,
        mappingId: 'contract',
        // Trucks upload hours late: a late reading has its stretch analysed again, and is never refused.
        lateMs: Number.POSITIVE_INFINITY,
        drivers: kept.mode,
        driver: kept.driver,
        retryFailed: true,
        now: () => clock.now(),
      });
    } finally {
      this.#writing -= 1;
      this.#waiting.shift()?.();
    }
  }

  async #turn(): Promise<void> {
    if (this.#writing >= writersMax) {
      if (this.#waiting.length >= waitingMax) {
        throw new ProblemError('intake-full', undefined, { retryAfterSeconds: 2 });
      }
      await new Promise<void>((resolve) => this.#waiting.push(resolve));
    }
    this.#writing += 1;
  }
}
