/**
 * Where the store is, and opening it: `DATABASE_URL` names a PostgreSQL server and wins; else it is the embedded database in a
 * folder. Whatever keeps it from opening ends in a sentence.
 */
import { exitStatus, Failure } from '@gearhold/shared';
import { type Engine, openStore, StoreError } from '@gearhold/store';

/** Folder of the embedded store where nothing else is said. */
export const defaultStoreFolder = './gearhold-data';

export interface StorePlace {
  /** Connection string; a secret. */
  readonly databaseUrl: string | undefined;
  readonly folder: string;
}

/** Opens the store, lets `work` use it, and closes it whatever happens. @throws Failure of status 11 where another process has the folder, 1 for whatever else the store cannot do */
export async function withStore<Result>(
  { databaseUrl, folder }: StorePlace,
  nowMs: number,
  work: (engine: Engine) => Promise<Result>,
): Promise<Result> {
  try {
    const engine = await openStore({ databaseUrl, folder, nowMs });
    try {
      return await work(engine);
    } finally {
      await engine.close();
    }
  } catch (error) {
    if (!(error instanceof StoreError)) throw error;
    throw new Failure(error.code === 'in-use' ? exitStatus.locked : exitStatus.fault, `${error.message}.`);
  }
}
