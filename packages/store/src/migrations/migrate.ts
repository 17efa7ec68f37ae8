/**
 * Brings the tables up to this version: the numbered SQL files of `migrations/`, forward only, each in a transaction of its
 * own under a lock that keeps a second starter waiting. What was applied is kept with its checksum; a file that changed
 * since, or tables that a newer version made, are refused in a sentence.
 */
import { createHash } from 'node:crypto';
import { readdir, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import type { Engine, Transaction } from '../engine/engine.ts';
import { instant } from '../engine/values.ts';
import { StoreError } from '../errors.ts';

export interface Migration {
  readonly number: number;
  /** File name. */
  readonly name: string;
  readonly sql: string;
  /** SHA-256 of the file, hexadecimal. */
  readonly checksum: string;
}

/** Oldest PostgreSQL that the SQL is written for. */
const oldestVersion = 15;

const folder = join(import.meta.dirname, '../../migrations');

/** The migrations of a folder in order; by default those of this version. Throws RangeError on a gap or a doubled number. */
export async function readMigrations(from = folder): Promise<Migration[]> {
  const names = (await readdir(from)).filter((name) => name.endsWith('.sql')).sort();
  const migrations = await Promise.all(names.map((name) => readMigration(from, name)));
  for (const [index, { number, name }] of migrations.entries()) {
    if (number !== index + 1) throw new RangeError(`migrations: ${name} stands where number ${index + 1} belongs`);
  }
  return migrations;
}

async function readMigration(from: string, name: string): Promise<Migration> {
  const sql = await readFile(join(from, name), 'utf8');
  const number = Number(/^(\d{4})-[a-z0-9-]+\.sql$/.exec(name)?.[1]);
  return { number, name, sql, checksum: createHash('sha256').update(sql).digest('hex') };
}

/**
 * Applies what is missing; gives the names of what was applied now.
 *
 * @param nowMs for the record of when each was applied, ms since the epoch
 * @throws StoreError `too-old`, `newer-schema`, `migration-changed`, `migration-failed`
 */
export async function migrate(engine: Engine, nowMs: number, migrations?: readonly Migration[]): Promise<string[]> {
  const wanted = migrations ?? (await readMigrations());
  await requireVersion(engine);
  await installTimescale(engine);
  const applied: string[] = [];
  await engine.transaction(async (transaction) => {
    await lock(transaction);
    await transaction.script(`create table if not exists schema_migration (
      number integer not null,
      name text not null,
      checksum text not null,
      applied_at timestamptz not null,
      constraint schema_migration_is_applied_once primary key (number)
    )`);
  });
  for (const migration of wanted) {
    const isNew = await engine.transaction((transaction) => apply(transaction, migration, wanted.length, nowMs));
    if (isNew) applied.push(migration.name);
  }
  return applied;
}

/** Locks for the length of the transaction. The number stands for this lock among all of the database's. */
async function lock(transaction: Transaction): Promise<void> {
  await transaction.query(`select pg_advisory_xact_lock(hashtextextended('gearhold migrations', 0))`);
}

async function apply(transaction: Transaction, migration: Migration, known: number, nowMs: number): Promise<boolean> {
  await lock(transaction);
  const stored = await transaction.query<{ number: number; checksum: string }>(
    'select number, checksum from schema_migration order by number',
  );
  if (stored.length > known) {
    throw new StoreError(
      'newer-schema',
      `the tables are at version ${stored.length}, made by a newer gearhold; this one knows ${known}: start the newer one`,
    );
  }
  const before = stored.find(({ number }) => number === migration.number);
  if (before !== undefined) {
    if (before.checksum === migration.checksum) return false;
    throw new StoreError(
      'migration-changed',
      `${migration.name} is not the file that was applied to this database: migrations are never edited; restore the ` +
        'file, and put the change into a new one',
    );
  }
  try {
    await transaction.script(migration.sql);
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    const message = `${migration.name} could not be applied, and nothing of it was kept: ${why}`;
    throw new StoreError('migration-failed', message, { cause: error });
  }
  await transaction.query('insert into schema_migration (number, name, checksum, applied_at) values ($1, $2, $3, $4)', [
    migration.number,
    migration.name,
    migration.checksum,
    instant(nowMs),
  ]);
  return true;
}

async function requireVersion(engine: Engine): Promise<void> {
  const { version, place } = await engine.describe();
  if (Number.parseInt(version, 10) >= oldestVersion) return;
  throw new StoreError(
    'too-old',
    `the database at ${place} is PostgreSQL ${version}; gearhold needs ${oldestVersion} or newer`,
  );
}

/** Installs the extension where the server has it and lets us; a server without it serves as well. */
async function installTimescale(engine: Engine): Promise<void> {
  const [available] = await engine.query(
    `select from pg_available_extensions where name = 'timescaledb' and installed_version is null`,
  );
  if (available === undefined) return;
  // Refused for want of rights: the operator installs it, or readings stay in a plain table.
  await engine.query('create extension if not exists timescaledb').catch(() => {});
}
