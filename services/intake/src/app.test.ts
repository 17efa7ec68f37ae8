/** The intake beside the API: the same tokens and answers, nothing but readings, and what it takes is due for the detector. */
import { newRegistry, newSecret, type Scope, secretHash } from '@gearhold/http';
import { allowedAddresses } from '@gearhold/operations/notify';
import { createLogger } from '@gearhold/shared/service';
import { dirtyVehicles, type Engine, issueToken, migrate, openMemory } from '@gearhold/store';
import type { FastifyInstance } from 'fastify';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { intakeApp } from './app.ts';
import { intakeConfiguration } from './configuration.ts';

const nowMs = Date.parse('2026-03-02T12:00:00Z');

let store: Engine;
let app: FastifyInstance;
beforeAll(async () => {
  store = await openMemory();
  await migrate(store, nowMs);
  app = await intakeApp(
    {
      store,
      clock: { now: () => nowMs },
      log: createLogger('intake', 'silent'),
      https: false,
      webhookAddresses: allowedAddresses([]),
    },
    { registry: newRegistry() },
  );
}, 120_000);
afterAll(async () => {
  await app?.close();
  await store?.close();
});

async function tokenOf(scope: Scope): Promise<{ authorization: string }> {
  const secret = newSecret();
  await issueToken(store, {
    tokenId: crypto.randomUUID(),
    tokenHash: secretHash(secret),
    name: scope,
    scopes: [scope],
    terminals: null,
    driverNames: true,
    createdMs: nowMs,
    createdBy: 'test',
    expiresMs: null,
  });
  return { authorization: `Bearer ${secret}` };
}

const send = (headers: Record<string, string>) =>
  app.inject({
    method: 'POST',
    url: '/v1/readings',
    headers: { 'content-type': 'text/csv', ...headers },
    payload: 'time,vehicleId,speedKph\n2026-03-02T11:00:00Z,T-104,0\n2026-03-02T11:00:01Z,,0\n',
  });

it('takes readings by the rules of the API, and leaves them due', async () => {
  const answer = await send(await tokenOf('ingest'));
  expect(answer.statusCode).toBe(200);
  expect(answer.json()).toMatchObject({ rowsRead: 2, rowsAccepted: 1, rowsNew: 1 });
  expect((await dirtyVehicles(store)).map(({ vehicleId }) => vehicleId)).toEqual(['T-104']);
});

it('takes nothing from whoever may not send', async () => {
  expect((await send({})).statusCode).toBe(401);
  expect((await send(await tokenOf('read'))).statusCode).toBe(403);
});

it('says whether it lives and works, and tells nothing else', async () => {
  expect((await app.inject('/healthz')).statusCode).toBe(200);
  expect((await app.inject('/readyz')).statusCode).toBe(200);
  expect((await app.inject('/metrics')).body).toContain('gearhold_intake_batches 0');
  expect((await app.inject({ url: '/v1/episodes', headers: await tokenOf('read') })).statusCode).toBe(404);
});

it('asks for a server', () => {
  expect(() => intakeConfiguration({})).toThrow(/DATABASE_URL: expected the PostgreSQL server/);
  expect(intakeConfiguration({ DATABASE_URL: 'postgres://db/fleet' })).toMatchObject({ port: 8472, logLevel: 'info' });
});
