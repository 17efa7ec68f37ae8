/** Opens the store, wherever it is, with its tables at this version. */
import type { Engine } from './engine/engine.ts';
import { openFolder } from './engine/pglite.ts';
import { openServer, type ServerOptions } from './engine/postgres.ts';
import { migrate } from './migrations/migrate.ts';

export interface StoreOptions {
  /** Connection string of a PostgreSQL server; it wins over the folder. */
  readonly databaseUrl?: string | undefined;
  /** Folder of the embedded database. */
  readonly folder: string;
  readonly server?: ServerOptions;
  /** For the record of when migrations were applied, ms since the epoch. */
  readonly nowMs: number;
}

/** @throws StoreError in words for people, whatever keeps the store from opening */
export async function openStore(options: StoreOptions): Promise<Engine> {
  const { databaseUrl } = options;
  const engine = databaseUrl ? await openServer(databaseUrl, options.server) : await openFolder(options.folder);
  try {
    await migrate(engine, options.nowMs);
    return engine;
  } catch (error) {
    await engine.close();
    throw error;
  }
}
