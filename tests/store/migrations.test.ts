/** The tables and how they come about: the same on every engine, forward only, once, whoever starts at the same time. */
import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { type Engine, type Migration, migrate, readMigrations, schemaText } from '@gearhold/store';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { engines, nowMs } from './engines.ts';

const golden = join(import.meta.dirname, '../../packages/store/schema.txt');

const invented = (number: number, sql: string): Migration => ({
  number,
  name: `${String(number).padStart(4, '0')}-invented.sql`,
  sql,
  checksum: `of ${sql}`,
});

describe.each(engines)('migrations on $name', ({ open }) => {
  let engine: Engine;
  let migrations: Migration[];
  beforeAll(async () => {
    engine = await open();
    migrations = await readMigrations();
  });
  afterAll(async () => {
    await engine?.close();
  });

  it('are applied once when several start at the same time', async () => {
    const applied = await Promise.all([1, 2, 3].map(() => migrate(engine, nowMs)));
    expect(applied.flat().sort()).toEqual(migrations.map(({ name }) => name));
    const kept = await engine.query(
      'select number, name, checksum, applied_at as "at" from schema_migration order by number',
    );
    expect(kept).toEqual(migrations.map(({ number, name, checksum }) => ({ number, name, checksum, at: nowMs })));
  });

  it('make the tables of schema.txt (after a new migration: npm run schemas:store, and read the difference)', async () => {
    expect(await schemaText(engine)).toBe(await readFile(golden, 'utf8'));
  });

  it('that were edited after they were applied are refused', async () => {
    const edited = migrations.map((migration, i) => (i === 0 ? { ...migration, checksum: 'another' } : migration));
    const sentence = `${migrations[0]!.name} is not the file that was applied to this database`;
    await expect(migrate(engine, nowMs, edited)).rejects.toMatchObject({ code: 'migration-changed' });
    await expect(migrate(engine, nowMs, edited)).rejects.toThrow(sentence);
  });

  it('leave nothing behind where one of them fails', async () => {
    const next = migrations.length + 1;
    const bad = invented(next, 'create table half_done (a integer); insert into half_done values (1 / 0);');
    await expect(migrate(engine, nowMs, [...migrations, bad])).rejects.toMatchObject({ code: 'migration-failed' });
    expect(await schemaText(engine)).toBe(await readFile(golden, 'utf8'));
    const good = invented(next, 'create table whole (a integer)');
    expect(await migrate(engine, nowMs, [...migrations, good])).toEqual([good.name]);
  });

  it('of a newer version keep an older one out', async () => {
    await expect(migrate(engine, nowMs)).rejects.toMatchObject({ code: 'newer-schema' });
    await expect(migrate(engine, nowMs)).rejects.toThrow(
      /made by a newer gearhold; this one knows \d+: start the newer one/,
    );
  });
});
