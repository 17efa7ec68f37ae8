/**
 * A PostgreSQL server, with or without TimescaleDB, through a small pool of connections. A connection that cannot be had is
 * tried again a limited number of times; one that breaks in a transaction ends it, and the work runs again only where the
 * caller said that doing it twice is doing it once.
 */
import { Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import pg from 'pg';
import { from as copyFrom } from 'pg-copy-streams';
import { type Address, readAddress } from './address.ts';
import { isContention, refusal } from './database-error.ts';
import type {
  Engine,
  EngineDescription,
  HeldLock,
  Parameter,
  Statements,
  Transaction,
  TransactionOptions,
} from './engine.ts';
import { accessDenied, isConnectionLoss, isDenied, unreachable } from './server-error.ts';
import { parsers } from './values.ts';

export interface ServerOptions {
  /** Most connections at a time. Defaults to 4. */
  readonly connectionsMax?: number;
  /** How often a connection is tried before the server counts as down. Defaults to 5. */
  readonly attempts?: number;
  /** Wait before the second try, ms; it doubles with each, up to 10 s. Defaults to 500. */
  readonly firstWaitMs?: number;
  /** How long a try to connect may take, ms. Defaults to 5000. */
  readonly connectMs?: number;
}

const longestWaitMs = 10_000;
/** How often a transaction that others refused, or that lost its connection, is run. */
const runsMax = 5;

type Client = pg.PoolClient;

/** Opens a server by its connection string. @throws StoreError `unusable-address`, `unreachable`, `access-denied` */
export async function openServer(databaseUrl: string, options: ServerOptions = {}): Promise<Engine> {
  const engine = new ServerEngine(readAddress(databaseUrl), databaseUrl, options);
  try {
    await engine.query('select 1');
    return engine;
  } catch (error) {
    await engine.close();
    throw error;
  }
}

class ServerEngine implements Engine {
  readonly #address: Address;
  readonly #pool: pg.Pool;
  readonly #attempts: number;
  readonly #firstWaitMs: number;

  constructor(address: Address, databaseUrl: string, options: ServerOptions) {
    this.#address = address;
    this.#attempts = options.attempts ?? 5;
    this.#firstWaitMs = options.firstWaitMs ?? 500;
    this.#pool = new pg.Pool({
      connectionString: databaseUrl,
      max: options.connectionsMax ?? 4,
      connectionTimeoutMillis: options.connectMs ?? 5000,
      application_name: 'gearhold',
      keepAlive: true,
      types: { getTypeParser },
    });
    // A connection that breaks while nobody uses it is replaced; whoever uses one learns it there.
    this.#pool.on('error', () => {});
  }

  query<Row>(sql: string, parameters: readonly Parameter[] = []): Promise<Row[]> {
    return this.#once((client) => asObjects<Row>(client, sql, parameters));
  }

  rows(sql: string, parameters: readonly Parameter[] = []): Promise<unknown[][]> {
    return this.#once((client) => asArrays(client, sql, parameters));
  }

  async transaction<Result>(
    work: (transaction: Transaction) => Promise<Result>,
    options: TransactionOptions = {},
  ): Promise<Result> {
    for (let run = 1; ; run++) {
      const client = await this.#connect();
      let broken = false;
      try {
        await client.query('begin');
        const result = await work(new ServerTransaction(client));
        await client.query('commit');
        return result;
      } catch (error) {
        broken = isConnectionLoss(error);
        if (!broken) await client.query('rollback').catch(() => (broken = true));
        const again = isContention(error) || (broken && options.repeatable === true);
        if (!again || run === runsMax) throw isConnectionLoss(error) ? unreachable(this.#address, error) : error;
      } finally {
        client.release(broken);
      }
      await wait(this.#firstWaitMs * Math.random() * run);
    }
  }

  async tryLock(name: string): Promise<HeldLock | null> {
    const client = await this.#connect();
    const lost = new AbortController();
    const onLoss = () => lost.abort(unreachable(this.#address, null));
    client.on('error', onLoss);
    let held = false;
    try {
      const [row] = await asObjects<{ held: boolean }>(
        client,
        'select pg_try_advisory_lock(hashtextextended($1, 0)) as held',
        [`gearhold ${name}`],
      );
      held = row!.held;
    } finally {
      if (!held) {
        client.off('error', onLoss);
        client.release();
      }
    }
    if (!held) return null;
    return {
      lost: lost.signal,
      // Ending the connection frees the lock whatever became of it.
      release: async () => {
        if (!held) return;
        held = false;
        client.off('error', onLoss);
        client.release(true);
      },
    };
  }

  async describe(): Promise<EngineDescription> {
    const [row] = await this.query<{ version: string; timescale: string | null }>(
      `select current_setting('server_version') as version,
        (select extversion from pg_extension where extname = 'timescaledb') as timescale`,
    );
    const version = row!.version.split(' ')[0]!;
    return {
      engine: 'PostgreSQL',
      version,
      timescale: row!.timescale,
      inProcess: false,
      place: this.#address.shown,
    };
  }

  async close(): Promise<void> {
    if (!this.#pool.ended) await this.#pool.end();
  }

  async #once<Result>(work: (client: Client) => Promise<Result>): Promise<Result> {
    const client = await this.#connect();
    let broken = false;
    try {
      return await work(client);
    } catch (error) {
      broken = isConnectionLoss(error);
      throw broken ? unreachable(this.#address, error) : error;
    } finally {
      client.release(broken);
    }
  }

  async #connect(): Promise<Client> {
    let waitMs = this.#firstWaitMs;
    for (let attempt = 1; ; attempt++) {
      try {
        const client = await this.#pool.connect();
        // pg needs somebody to listen, or an idle connection that breaks ends the process.
        if (client.listenerCount('error') < 2) client.on('error', () => {});
        await settle(client);
        return client;
      } catch (error) {
        if (isDenied(error)) throw accessDenied(this.#address, error);
        if (!isConnectionLoss(error)) throw error;
        if (attempt >= this.#attempts) throw unreachable(this.#address, error, attempt);
      }
      await wait(waitMs);
      waitMs = Math.min(longestWaitMs, waitMs * 2);
    }
  }
}

const settled = new WeakSet<Client>();

/** Instants are read in one form only, whatever the server's own settings are. */
async function settle(client: Client): Promise<void> {
  if (settled.has(client)) return;
  try {
    await client.query(`set timezone = 'UTC'; set datestyle = 'ISO, YMD'; set client_min_messages = warning`);
    settled.add(client);
  } catch (error) {
    client.release(true);
    throw error;
  }
}

class ServerTransaction implements Transaction, Statements {
  readonly #client: Client;

  constructor(client: Client) {
    this.#client = client;
  }

  query<Row>(sql: string, parameters: readonly Parameter[] = []): Promise<Row[]> {
    return asObjects<Row>(this.#client, sql, parameters);
  }

  rows(sql: string, parameters: readonly Parameter[] = []): Promise<unknown[][]> {
    return asArrays(this.#client, sql, parameters);
  }

  async script(sql: string): Promise<void> {
    await explained(this.#client.query(sql));
  }

  async copyIn(sql: string, chunks: readonly Uint8Array[]): Promise<void> {
    await explained(pipeline(Readable.from(chunks, { objectMode: false }), this.#client.query(copyFrom(sql))));
  }
}

function getTypeParser(oid: number, format?: 'text' | 'binary'): (text: string) => unknown {
  return parsers[oid] ?? (pg.types.getTypeParser(oid, format as 'text') as (text: string) => unknown);
}

async function asObjects<Row>(client: Client, sql: string, parameters: readonly Parameter[]): Promise<Row[]> {
  return (await explained(client.query(sql, [...parameters]))).rows as Row[];
}

async function asArrays(client: Client, sql: string, parameters: readonly Parameter[]): Promise<unknown[][]> {
  return (await explained(client.query({ text: sql, values: [...parameters], rowMode: 'array' }))).rows as unknown[][];
}

async function explained<Result>(running: Promise<Result>): Promise<Result> {
  try {
    return await running;
  } catch (error) {
    throw refusal(error) ?? error;
  }
}

function wait(ms: number): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, ms));
}
