/**
 * The seam to the database: PostgreSQL in process (PGlite) or a server, under one set of SQL. Whoever holds an engine need
 * not know which.
 *
 * Values that come out are the same from either: instants (`timestamptz`) as ms since the epoch (fractions kept to the
 * microsecond; `-infinity` and `infinity` as the numbers), `date` as text, whole numbers of any width as numbers, `json` as
 * its text, `bytea` as bytes, NULL as null. Values that go in: instants by {@link instant}, `json` as text.
 */

export type Parameter =
  | string
  | number
  | boolean
  | null
  | Uint8Array
  | readonly (string | null)[]
  | readonly (number | null)[]
  | readonly (boolean | null)[];

export interface Statements {
  /** Runs one statement; gives its rows as objects by column name. */
  query<Row>(sql: string, parameters?: readonly Parameter[]): Promise<Row[]>;
  /** Runs one statement; gives its rows as arrays in column order. For many rows. */
  rows(sql: string, parameters?: readonly Parameter[]): Promise<unknown[][]>;
}

/** One transaction on one connection. */
export interface Transaction extends Statements {
  /** Runs several statements without parameters, for migrations. */
  script(sql: string): Promise<void>;
  /** `sql` is a `COPY ... FROM STDIN` with its options, such as `COPY t (a, b) FROM STDIN WITH (FORMAT binary)`. */
  copyIn(sql: string, chunks: readonly Uint8Array[]): Promise<void>;
}

export interface EngineDescription {
  readonly engine: 'PGlite' | 'PostgreSQL';
  /** As the server says it, such as `15.14`. */
  readonly version: string;
  /** Version of the timescaledb extension, or null where it is not installed. */
  readonly timescale: string | null;
  readonly inProcess: boolean;
  /** Where it is, for people: the folder, or `user@host:port/database`. Never a password. */
  readonly place: string;
}

/** A lock that is held until it is released, or its holder dies. */
export interface HeldLock {
  /** Aborted when the lock was lost because its connection broke: the work under it must stop. */
  readonly lost: AbortSignal;
  release(): Promise<void>;
}

export interface TransactionOptions {
  /**
   * Whether the work may run again from its beginning where the connection broke and nobody knows whether it was committed:
   * true only where doing it twice is doing it once. Deadlocks and serialization failures, which are known to have changed
   * nothing, are tried again in any case. Defaults to false.
   */
  readonly repeatable?: boolean;
}

export interface Engine extends Statements {
  transaction<Result>(
    work: (transaction: Transaction) => Promise<Result>,
    options?: TransactionOptions,
  ): Promise<Result>;
  /** Takes a named lock that keeps every other process and every other holder here out, or gives null where it is held. */
  tryLock(name: string): Promise<HeldLock | null>;
  describe(): Promise<EngineDescription>;
  close(): Promise<void>;
}
