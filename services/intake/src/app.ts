/**
 * Batches of readings taken in a process of its own, for a fleet whose readings would keep those waiting who read: the same address,
 * tokens and answers as in the API. What it stores is due in the store, where the service that runs the detector finds it within a second.
 */
import {
  type Api,
  addGate,
  addReadingRoutes,
  addSystemRoutes,
  type Context,
  httpApp,
  storeKeys,
  storeProblem,
} from '@gearhold/http';
import type { FastifyInstance } from 'fastify';
import type { Registry } from 'prom-client';

export interface IntakeOptions {
  readonly registry: Registry;
  readonly trustProxy?: string;
}

export async function intakeApp(context: Context, { registry, trustProxy }: IntakeOptions): Promise<FastifyInstance> {
  const { store, clock, https } = context;
  const app = await httpApp({
    logger: context.log,
    registry,
    problemOf: storeProblem,
    https,
    ...(trustProxy !== undefined && { trustProxy }),
  });
  addGate(app, { keys: storeKeys(store), nowMs: () => clock.now() });
  const ready = () =>
    store.query('select 1').then(
      () => true,
      () => false,
    );
  addSystemRoutes(app, { registry, ready });
  addReadingRoutes(app as unknown as Api, context, { registry });
  return app;
}
