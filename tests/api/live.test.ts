/**
 * The stream against the night: a truck's readings come in batches, in the order of their times, into a service on a port. An episode
 * that has closed is told at the latest after the next round of the analysis, and when all has come the stream says what one analysis
 * of the whole says. How long it took is printed, not asserted: times belong to the machine.
 */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { setTimeout as wait } from 'node:timers/promises';
import { gunzipSync } from 'node:zlib';
import { newSecret, type Scope, secretHash } from '@gearhold/http';
import { analyseDirty } from '@gearhold/operations/analysis';
import { createLogger } from '@gearhold/shared/service';
import { type Engine, issueToken } from '@gearhold/store';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { apiConfiguration } from '../../services/api/src/configuration.ts';
import { type Running, serve } from '../../services/api/src/serve.ts';
import { demoFile } from '../../services/api/src/testing/demo.ts';
import { type Service, startService } from '../../services/api/src/testing/service.ts';
import { testFolder } from '../cli/folder.ts';

interface Episode {
  readonly kind: string;
  readonly loadTransferTime: string;
  readonly endTime: string;
}

interface Told {
  readonly episode: Episode & { readonly episodeId: string };
}

const truck = 'T-104';
const zone = 'America/Chicago';
const rowsOfBatch = 600;
/** The longest that a round is waited for, ms: a busy machine is no fault. */
const patienceMs = 120_000;

const [header, ...rows] = gunzipSync(readFileSync(join(import.meta.dirname, '../../fixtures/demo/readings.csv.gz')))
  .toString('utf8')
  .trimEnd()
  .split('\n');
const ofTruck = rows.filter((row) => row.split(',', 2)[1] === truck).toSorted((a, b) => timeOf(a) - timeOf(b));
const batches = Array.from({ length: Math.ceil(ofTruck.length / rowsOfBatch) }, (_, i) =>
  ofTruck.slice(i * rowsOfBatch, (i + 1) * rowsOfBatch),
);

const folder = testFolder();
let nowMs = timeOf(ofTruck[0]!);
let live: Running;
let night: Service;
let headers: { readonly authorization: string };
/** What the night says, by kind and load transfer. */
let expected: Map<string, Episode>;

beforeAll(async () => {
  night = await startService();
  night.setNow(nowMs);
  const nightHeaders = await night.token(['administer']);
  await state((url, payload) => night.app.inject({ method: 'PUT', url, headers: nightHeaders, payload }));
  const sent = await night.app.inject({
    method: 'POST',
    url: '/v1/readings',
    headers: { 'content-type': 'text/csv', ...nightHeaders },
    payload: csv(ofTruck),
  });
  expect(sent.json().rowsNew).toBe(ofTruck.length);
  night.setNow(timeOf(ofTruck.at(-1)!) + 1000);
  await analyseDirty(night.store, { zone, nowMs: night.nowMs() });
  const answer = await night.app.inject({ url: `/v1/episodes?vehicle=${truck}&limit=200`, headers: nightHeaders });
  expected = byTransfer(answer.json().items);

  const configuration = apiConfiguration({
    GEARHOLD_STORE: folder.at('store'),
    GEARHOLD_PORT: '0',
    GEARHOLD_ZONE: zone,
    GEARHOLD_LOG: 'silent',
  });
  live = await serve(configuration, { clock: { now: () => nowMs }, log: createLogger('api', 'silent') });
  headers = await tokenOf(live.store, ['administer', 'ingest', 'read']);
  await state((url, payload) =>
    ask(url, { method: 'PUT', body: JSON.stringify(payload), headers: { 'content-type': 'application/json' } }),
  );
}, 240_000);

afterAll(async () => {
  await live?.stop();
  await night?.close();
});

describe('a truck whose readings come as it drives', () => {
  it('has each episode told at most one round after the batch that closes it, and in the end what the night tells', {
    timeout: 600_000,
  }, async () => {
    expect(expected.size).toBeGreaterThan(2);
    const latencies: number[] = [];
    const told = new Set<Episode>();
    for (const batch of batches) {
      nowMs = timeOf(batch.at(-1)!) + 1000;
      const answer = await ask('/v1/readings', {
        method: 'POST',
        headers: { 'content-type': 'text/csv' },
        body: csv(batch),
      });
      expect(answer.status).toBe(200);
      const closed = [...expected.values()].filter(
        (episode) => !told.has(episode) && Date.parse(episode.endTime) <= timeOf(batch.at(-1)!),
      );
      if (closed.length === 0) continue;
      latencies.push(await seenWithinARound(closed));
      for (const episode of closed) told.add(episode);
    }
    await anotherRound();
    expect(await episodes()).toEqual(expected);
    const longest = Math.max(...latencies).toFixed(0);
    process.stdout.write(
      `episodes of ${latencies.length} batches were told, the longest ${longest} ms after the answer\n`,
    );
  });
});

/** Waits until a round that began after now has ended, and asserts what it told; gives when all of it was first there, ms. */
async function seenWithinARound(wanted: readonly Episode[]): Promise<number> {
  const began = performance.now();
  // The one that may be running began before the readings came.
  const enough = (await roundsEnded()) + 2;
  while (performance.now() - began < patienceMs) {
    const ended = await roundsEnded();
    const seen = await episodes();
    if (wanted.every((episode) => holds(seen, episode))) return performance.now() - began;
    if (ended >= enough) break;
    await wait(20);
  }
  const seen = await episodes();
  expect(wanted.filter((episode) => !holds(seen, episode))).toEqual([]);
  return performance.now() - began;
}

/** Waits until a round that began after now has ended. */
async function anotherRound(): Promise<void> {
  const began = performance.now();
  const enough = (await roundsEnded()) + 2;
  while ((await roundsEnded()) < enough && performance.now() - began < patienceMs) await wait(20);
}

async function roundsEnded(): Promise<number> {
  const text = await (await ask('/metrics')).text();
  return Number(/^gearhold_round_seconds_count (\d+)$/m.exec(text)![1]);
}

async function episodes(): Promise<Map<string, Episode>> {
  const answer = await ask(`/v1/episodes?vehicle=${truck}&limit=200`);
  return byTransfer(((await answer.json()) as { items: Told[] }).items);
}

/** Without the id: one that was told keeps the id that it was told under first, when its load transfer was known less well. */
function byTransfer(items: readonly Told[]): Map<string, Episode> {
  return new Map(items.map(({ episode: { episodeId: _, ...episode } }) => [keyOf(episode), episode]));
}

/** Whether it is told: what came soon after it may still have moved its load transfer, by no more than an episode promises. */
function holds(seen: ReadonlyMap<string, Episode>, { kind, loadTransferTime }: Episode): boolean {
  const near = (other: Episode) =>
    Math.abs(Date.parse(other.loadTransferTime) - Date.parse(loadTransferTime)) <= 15_000;
  return [...seen.values()].some((other) => other.kind === kind && near(other));
}

function keyOf({ kind, loadTransferTime }: Episode): string {
  return `${kind} ${loadTransferTime}`;
}

function ask(path: string, init: RequestInit = {}): Promise<Response> {
  return fetch(`${live.address}${path}`, { ...init, headers: { ...init.headers, ...headers } });
}

/** States trucks and sites of the demo fleet. */
async function state(put: (url: string, payload: object) => Promise<unknown>): Promise<void> {
  for (const site of demoFile('sites.json')) await put(`/v1/sites/${site.siteId}`, site);
  for (const { vehicleId, ...entry } of demoFile('vehicles.json')) await put(`/v1/vehicles/${vehicleId}`, [entry]);
}

async function tokenOf(store: Engine, scopes: readonly Scope[]): Promise<{ authorization: string }> {
  const secret = newSecret();
  await issueToken(store, {
    tokenId: crypto.randomUUID(),
    tokenHash: secretHash(secret),
    name: 'stream',
    scopes,
    terminals: null,
    driverNames: true,
    createdMs: nowMs,
    createdBy: 'test',
    expiresMs: null,
  });
  return { authorization: `Bearer ${secret}` };
}

function csv(part: readonly string[]): string {
  return `${[header, ...part].join('\n')}\n`;
}

function timeOf(row: string): number {
  return Date.parse(row.slice(0, row.indexOf(',')));
}
