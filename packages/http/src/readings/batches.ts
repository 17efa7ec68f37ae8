/**
 * Batches of readings into the store, by the same path as files. So many are written at once and so many more may wait; what comes
 * beyond is turned away, and nothing of it was taken.
 */

import { createHash } from 'node:crypto';
import { driversOf, type IngestedFile, ingestFile } from '@gearhold/operations/intake';
import { contractMapping, type InputFormat, type Mapping } from '@gearhold/signals';
import { readSetting } from '@gearhold/store';
import { ProblemError } from '../problems/problem.ts';
import type { Context } from '../service/context.ts';

const writersMax = 2;
const waitingMax = 64;

/** How the columns of a batch are read: by the contract, or by a profile that is told apart by its id. */
export interface BatchMapping {
  readonly mapping: Mapping;
  readonly mappingId: string;
}

export const byContract: BatchMapping = { mapping: contractMapping, mappingId: 'contract' };

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
  async take(batchId: string, path: string, format: InputFormat, by: BatchMapping): Promise<IngestedFile> {
    await this.#turn();
    try {
      const { store, clock } = this.#context;
      const asked = (await readSetting(store, 'drivers')) === null ? ('named' as const) : undefined;
      const kept = await driversOf(store, asked, clock.now());
      return await ingestFile(store, {
        path,
        name: `batch ${batchId}`,
        format,
        ...by,
        ...(by !== byContract && {
          identity: (sha256: string) => createHash('sha256').update(`${sha256} ${by.mappingId}`).digest('hex'),
        }),
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
