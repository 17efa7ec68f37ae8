/**
 * The bench of the service under load: batches of 1,000 readings over HTTP into it while the usual reads are asked, beside a Fastify
 * that parses the same batches and does nothing with them, in one run.
 *
 *     npm run bench:api -- [--batches N]
 *
 * Runs on PGlite in a folder of its own; with DATABASE_URL on that server, in the database that it names, which has to be empty.
 */
import { mkdtemp, rm } from 'node:fs/promises';
import type { AddressInfo } from 'node:net';
import { cpus, tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { newSecret, secretHash } from '@gearhold/http';
import { countPeople, issueToken } from '@gearhold/store';
import Fastify from 'fastify';
import { apiConfiguration } from '../../services/api/src/configuration.ts';
import { serve } from '../../services/api/src/serve.ts';

const { values: options } = parseArgs({ options: { batches: { type: 'string', default: '200' } } });
const batches = Array.from({ length: Number(options.batches) }, (_, index) => batchOf(index));
/** Senders at a time. */
const senders = 2;
const reads = ['/v1/episodes?limit=50', '/v1/anomalies?limit=50', '/v1/vehicles?limit=50', '/v1/changes?limit=50'];
const print = (line: string): void => void process.stdout.write(`${line}\n`);

const folder = await mkdtemp(join(tmpdir(), 'gearhold-api-bench-'));
try {
  const plain = Fastify({ bodyLimit: 32 * 1024 * 1024 });
  plain.addContentTypeParser('application/x-ndjson', { parseAs: 'string' }, (_, body, done) => {
    const rows = (body as string).trimEnd().split('\n');
    done(
      null,
      rows.map((row) => JSON.parse(row)),
    );
  });
  plain.post('/v1/readings', async ({ body }) => ({ rows: (body as unknown[]).length }));
  await plain.listen({ host: '127.0.0.1', port: 0 });
  const nothing = await send(`http://127.0.0.1:${(plain.server.address() as AddressInfo).port}`, {});
  await plain.close();

  const { DATABASE_URL } = process.env;
  const environment = {
    DATABASE_URL,
    GEARHOLD_STORE: join(folder, 'store'),
    GEARHOLD_PORT: '0',
    GEARHOLD_LOG: 'silent',
  };
  const running = await serve(apiConfiguration(environment));
  try {
    if ((await countPeople(running.store)) !== 1)
      throw new RangeError('bench: the database is in use; name an empty one');
    const { engine, version, inProcess } = await running.store.describe();
    const secret = newSecret();
    await issueToken(running.store, {
      tokenId: 'bench',
      tokenHash: secretHash(secret),
      name: 'bench',
      scopes: ['administer', 'ingest', 'read'],
      terminals: null,
      driverNames: true,
      createdMs: Date.now(),
      createdBy: 'bench',
      expiresMs: null,
    });
    const headers = { authorization: `Bearer ${secret}` };
    const asking = new AbortController();
    const asked = ask(running.address, headers, asking.signal);
    const taken = await send(running.address, headers);
    asking.abort();
    const times = (await asked).toSorted((a, b) => a - b);
    print(`${engine} ${version}, ${inProcess ? 'in process' : 'a server'}; ${cpus().length} x ${cpus()[0]?.model}`);
    print(`a Fastify that parses and does nothing: ${nothing.toFixed(1)} batches/s of 1,000 readings`);
    print(
      `the service, analysing as they come: ${taken.toFixed(1)} batches/s, ${(taken / nothing).toFixed(3)} of that`,
    );
    const p99 = times[Math.floor(times.length * 0.99)];
    print(
      `usual reads meanwhile: ${times.length}, p99 ${p99?.toFixed(0)} ms, ${((p99! / 1000) * nothing).toFixed(1)} batches of the Fastify that does nothing`,
    );
  } finally {
    await running.stop();
  }
} finally {
  await rm(folder, { recursive: true, force: true });
}

/** Sends all batches, and gives how many a second were answered. */
async function send(address: string, headers: Record<string, string>): Promise<number> {
  const left = batches.values();
  const began = performance.now();
  const sender = async () => {
    for (const body of left) {
      const answer = await fetch(`${address}/v1/readings`, {
        method: 'POST',
        headers: { 'content-type': 'application/x-ndjson', ...headers },
        body,
      });
      if (answer.status !== 200) throw new Error(`bench: ${answer.status} ${await answer.text()}`);
      await answer.arrayBuffer();
    }
  };
  await Promise.all(Array.from({ length: senders }, sender));
  return (batches.length * 1000) / (performance.now() - began);
}

/** Asks one after the other until it is aborted; gives how long each took, ms. */
async function ask(address: string, headers: Record<string, string>, signal: AbortSignal): Promise<number[]> {
  const times: number[] = [];
  for (let turn = 0; !signal.aborted; turn++) {
    const began = performance.now();
    const answer = await fetch(`${address}${reads[turn % reads.length]}`, { headers });
    await answer.arrayBuffer();
    if (answer.status === 429) {
      await new Promise((done) => setTimeout(done, 1000));
      continue;
    }
    if (answer.status !== 200) throw new Error(`bench: ${answer.status}`);
    times.push(performance.now() - began);
  }
  return times;
}

/** 1,000 readings of ten trucks, 100 s of each: they drive, so that there is much to take and little to find. */
function batchOf(index: number): string {
  const firstMs = Date.UTC(2026, 2, 2) + index * 100_000;
  const rows = Array.from({ length: 1000 }, (_, i) => ({
    time: new Date(firstMs + Math.floor(i / 10) * 1000).toISOString(),
    vehicleId: `T-${i % 10}`,
    speedKph: 60 + (i % 7),
    gear: 9,
    suspensionKpa: 170 + (i % 3),
    parkingBrake: 0,
    latitude: 41 + i / 100_000,
    longitude: -95 - index / 1000,
  }));
  return rows.map((row) => `${JSON.stringify(row)}\n`).join('');
}
