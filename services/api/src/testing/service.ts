/** A service over a database in memory, for the tests of the routes. */
import { newRegistry, newSecret, type Scope, secretHash } from '@gearhold/http';
import { type Allowed, allowedAddresses } from '@gearhold/operations/notify';
import { createLogger } from '@gearhold/shared/service';
import { type Engine, issueToken, migrate, openMemory } from '@gearhold/store';
import type { FastifyInstance } from 'fastify';
import { apiApp } from '../app.ts';

export interface Service {
  readonly app: FastifyInstance;
  readonly store: Engine;
  /** Sets the clock of the service, ms since the epoch. */
  setNow(nowMs: number): void;
  nowMs(): number;
  /** A bearer header of a new token. */
  token(
    scopes: readonly Scope[],
    grants?: { terminals?: string[] | null; driverNames?: boolean },
  ): Promise<{
    authorization: string;
  }>;
  close(): Promise<void>;
}

export interface ServiceOptions {
  readonly webhookAddresses?: Allowed;
}

export async function startService({ webhookAddresses = allowedAddresses([]) }: ServiceOptions = {}): Promise<Service> {
  let now = Date.parse('2026-03-02T12:00:00Z');
  const store = await openMemory();
  await migrate(store, now);
  const clock = { now: () => now };
  const context = {
    store,
    clock,
    log: createLogger('api', 'silent'),
    https: false,
    webhookAddresses,
  };
  const app = await apiApp(context, { registry: newRegistry(), requestsPerMinute: 0 });
  await app.ready();
  return {
    app,
    store,
    setNow: (nowMs) => {
      now = nowMs;
    },
    nowMs: () => now,
    async token(scopes, { terminals = null, driverNames = true } = {}) {
      const secret = newSecret();
      await issueToken(store, {
        tokenId: crypto.randomUUID(),
        tokenHash: secretHash(secret),
        name: scopes.join(' '),
        scopes,
        terminals,
        driverNames,
        createdMs: now,
        createdBy: 'test',
        expiresMs: null,
      });
      return { authorization: `Bearer ${secret}` };
    },
    async close() {
      await app.close();
      await store.close();
    },
  };
}
