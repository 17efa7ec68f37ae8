/**
 * Servers for the contract suite, started once for all of its files: PostgreSQL and TimescaleDB in containers where a
 * container engine answers, and whatever DATABASE_URL names. At the end it says what the suite ran against and what it did
 * not: a store that was not tested is named, never silently left out.
 *
 * GEARHOLD_TEST_POSTGRES_IMAGE and GEARHOLD_TEST_TIMESCALE_IMAGE name other images than the public ones; 'none' starts none.
 */
import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { EngineDescription } from '@gearhold/store';
import { GenericContainer, getContainerRuntimeClient, type StartedTestContainer, Wait } from 'testcontainers';
import type { TestProject } from 'vitest/node';

export interface NamedServer {
  readonly name: string;
  readonly url: string;
}

declare module 'vitest' {
  interface ProvidedContext {
    storeServers: readonly NamedServer[];
    /** Folder in which each test file notes the engines that it ran against. */
    storeNotes: string;
  }
}

/** An engine as a test file notes it, one JSON object a line. */
export interface TestedEngine extends Omit<EngineDescription, 'place'> {
  readonly name: string;
}

export const notesFile = 'engines.ndjson';

/** How long an image may take to come and start, ms. */
const startMs = 90_000;

const images = [
  { name: 'PostgreSQL in a container', variable: 'GEARHOLD_TEST_POSTGRES_IMAGE', usual: 'postgres:18-alpine' },
  {
    name: 'TimescaleDB in a container',
    variable: 'GEARHOLD_TEST_TIMESCALE_IMAGE',
    usual: 'timescale/timescaledb:latest-pg17',
  },
] as const;

/** Of the container, which listens only to this machine and lives as long as the tests. */
const password = 'of-a-test';

export default async function setUp(project: TestProject): Promise<() => Promise<void>> {
  const notes = await mkdtemp(join(tmpdir(), 'gearhold-store-'));
  const servers: NamedServer[] = [];
  const containers: StartedTestContainer[] = [];
  const untested: string[] = [];
  const { DATABASE_URL: databaseUrl } = process.env;
  if (databaseUrl) servers.push({ name: 'the server of DATABASE_URL', url: databaseUrl });
  const answers = await getContainerRuntimeClient().then(
    () => true,
    () => false,
  );
  for (const { name, variable, usual } of images) {
    const image = process.env[variable] ?? usual;
    if (!answers || image === 'none') {
      untested.push(`${name}: ${answers ? `${variable} is none` : 'no container engine answers'}`);
      continue;
    }
    try {
      const container = await start(image);
      containers.push(container);
      const place = `${container.getHost()}:${container.getMappedPort(5432)}`;
      servers.push({ name, url: `postgresql://postgres:${password}@${place}/postgres` });
    } catch (error) {
      untested.push(`${name}: ${image} did not start: ${firstLine(error)}`);
    }
  }
  if (!databaseUrl) untested.push('the server of DATABASE_URL: it is not set');
  project.provide('storeServers', servers);
  project.provide('storeNotes', notes);
  return async () => {
    await Promise.all(containers.map((container) => container.stop()));
    process.stderr.write(await summary(notes, untested));
    await rm(notes, { recursive: true, force: true });
  };
}

function start(image: string): Promise<StartedTestContainer> {
  return new GenericContainer(image)
    .withEnvironment({ POSTGRES_PASSWORD: password })
    .withExposedPorts(5432)
    .withWaitStrategy(Wait.forListeningPorts())
    .withStartupTimeout(startMs)
    .start();
}

async function summary(notes: string, untested: readonly string[]): Promise<string> {
  const text = await readFile(join(notes, notesFile), 'utf8').catch(() => '');
  const lines = text
    .split('\n')
    .filter((line) => line !== '')
    .map((line) => {
      const { name, engine, version, timescale, inProcess } = JSON.parse(line) as TestedEngine;
      const extension = timescale === null ? '' : ` with TimescaleDB ${timescale}`;
      return `  tested: ${engine} ${version}${extension}, ${inProcess ? 'in process' : 'a server'} (${name})`;
    });
  const tested = [...new Set(lines)].sort();
  return ['', 'The store', ...tested, ...untested.map((line) => `  NOT tested: ${line}`), ''].join('\n');
}

function firstLine(error: unknown): string {
  return (error instanceof Error ? error.message : String(error)).split('\n')[0]!;
}
