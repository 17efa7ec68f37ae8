/**
 * PostgreSQL in process: PGlite over a folder, or in memory for tests. It has one connection, so statements wait for each
 * other and a transaction keeps all others out. The folder belongs to one process at a time; a lock file beside the
 * database says to which.
 */
import { mkdir } from 'node:fs/promises';
import { join } from 'node:path';
import { PGlite, type PGliteInterface, type Transaction as PGliteTransaction } from '@electric-sql/pglite';
import { StoreError } from '../errors.ts';
import { refusal } from './database-error.ts';
import type { Engine, EngineDescription, HeldLock, Parameter, Statements, Transaction } from './engine.ts';
import { takeFolder } from './folder-lock.ts';
import { InProcessLocks } from './in-process-locks.ts';
import { parsers } from './values.ts';

/**
 * Opens the embedded database in a folder, which is made where it does not exist.
 *
 * @throws StoreError `in-use` where another process has it open, `unusable-address` where the folder cannot be used
 */
export async function openFolder(folder: string): Promise<Engine> {
  try {
    await mkdir(folder, { recursive: true });
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    throw new StoreError('unusable-address', `the store's folder ${folder} cannot be made: ${why}`, { cause: error });
  }
  const taken = await takeFolder(folder);
  try {
    const database = await PGlite.create({ dataDir: join(folder, 'database'), parsers: { ...parsers } });
    return await embeddedEngine(database, folder, () => taken.release());
  } catch (error) {
    await taken.release();
    if (error instanceof StoreError) throw error;
    const why = error instanceof Error ? error.message : String(error);
    throw new StoreError('unusable-address', `the embedded database in ${folder} cannot be opened: ${why}`, {
      cause: error,
    });
  }
}

/** An embedded database in memory: gone when it is closed. */
export async function openMemory(): Promise<Engine> {
  return embeddedEngine(await PGlite.create({ parsers: { ...parsers } }), 'memory');
}

/**
 * An engine over a PGlite that is open already: another build of it, with extensions. It must read values by
 * {@link parsers}.
 */
export async function embeddedEngine(
  database: PGliteInterface,
  place: string,
  whenClosed: () => Promise<void> = async () => {},
): Promise<Engine> {
  // Instants are read in one form only.
  await database.exec(`set timezone = 'UTC'; set datestyle = 'ISO, YMD'; set client_min_messages = warning`);
  return new EmbeddedEngine(database, place, whenClosed);
}

class EmbeddedEngine implements Engine {
  readonly #database: PGliteInterface;
  readonly #place: string;
  readonly #whenClosed: () => Promise<void>;
  readonly #locks = new InProcessLocks();

  constructor(database: PGliteInterface, place: string, whenClosed: () => Promise<void>) {
    this.#database = database;
    this.#place = place;
    this.#whenClosed = whenClosed;
  }

  query<Row>(sql: string, parameters: readonly Parameter[] = []): Promise<Row[]> {
    return asObjects<Row>(this.#database, sql, parameters);
  }

  rows(sql: string, parameters: readonly Parameter[] = []): Promise<unknown[][]> {
    return asArrays(this.#database, sql, parameters);
  }

  async transaction<Result>(work: (transaction: Transaction) => Promise<Result>): Promise<Result> {
    return this.#database.transaction((transaction) => work(new EmbeddedTransaction(transaction)));
  }

  async tryLock(name: string): Promise<HeldLock | null> {
    return this.#locks.tryLock(name);
  }

  async describe(): Promise<EngineDescription> {
    const [row] = await this.query<{ version: string; timescale: string | null }>(
      `select current_setting('server_version') as version,
        (select extversion from pg_extension where extname = 'timescaledb') as timescale`,
    );
    return {
      engine: 'PGlite',
      version: row!.version,
      timescale: row!.timescale,
      inProcess: true,
      place: this.#place,
    };
  }

  async close(): Promise<void> {
    if (!this.#database.closed) await this.#database.close();
    await this.#whenClosed();
  }
}

class EmbeddedTransaction implements Transaction, Statements {
  readonly #transaction: PGliteTransaction;

  constructor(transaction: PGliteTransaction) {
    this.#transaction = transaction;
  }

  query<Row>(sql: string, parameters: readonly Parameter[] = []): Promise<Row[]> {
    return asObjects<Row>(this.#transaction, sql, parameters);
  }

  rows(sql: string, parameters: readonly Parameter[] = []): Promise<unknown[][]> {
    return asArrays(this.#transaction, sql, parameters);
  }

  async script(sql: string): Promise<void> {
    await explained(this.#transaction.exec(sql));
  }

  async copyIn(sql: string, chunks: readonly Uint8Array[]): Promise<void> {
    const blob = new Blob(chunks as readonly Uint8Array<ArrayBuffer>[] as Uint8Array<ArrayBuffer>[]);
    // PGlite's COPY reads a blob under this name instead of a client's stream.
    await explained(this.#transaction.query(sql.replace(/\bfrom stdin\b/i, "FROM '/dev/blob'"), [], { blob }));
  }
}

type Queryable = Pick<PGliteInterface, 'query'>;

async function asObjects<Row>(on: Queryable, sql: string, parameters: readonly Parameter[]): Promise<Row[]> {
  return (await explained(on.query<Row>(sql, [...parameters]))).rows;
}

async function asArrays(on: Queryable, sql: string, parameters: readonly Parameter[]): Promise<unknown[][]> {
  const result = await explained(on.query<unknown[]>(sql, [...parameters], { rowMode: 'array' }));
  return result.rows;
}

async function explained<Result>(running: Promise<Result>): Promise<Result> {
  try {
    return await running;
  } catch (error) {
    throw refusal(error) ?? error;
  }
}
