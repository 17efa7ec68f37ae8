/** The API as one Fastify application over a store. Nothing here opens a port or reads the environment. */
import {
  type Api,
  addGate,
  addReadingRoutes,
  addSystemRoutes,
  type Context,
  describeApi,
  httpApp,
  storeKeys,
  storeProblem,
} from '@gearhold/http';
import type { FastifyInstance } from 'fastify';
import type { Registry } from 'prom-client';
import { addConsole } from './console/serve-console.ts';
import { addAnomalyRoutes } from './routes/anomalies.ts';
import { addAuditRoutes } from './routes/audit.ts';
import { addChangeRoutes } from './routes/changes.ts';
import { addCheckRoutes } from './routes/checks.ts';
import { addDigestRoutes } from './routes/digests.ts';
import { addDocumentRoutes } from './routes/document.ts';
import { addDriverRoutes } from './routes/drivers.ts';
import { addEpisodeRoutes } from './routes/episodes.ts';
import { addFileRoutes } from './routes/files.ts';
import { addPeopleRoutes } from './routes/people.ts';
import { addPolicyRoutes } from './routes/policies.ts';
import { addProblemPages } from './routes/problem-pages.ts';
import { addProfileRoutes } from './routes/profiles.ts';
import { addSessionRoutes } from './routes/session.ts';
import { addSiteRoutes } from './routes/sites.ts';
import { addTokenRoutes } from './routes/tokens.ts';
import { addVehicleRoutes } from './routes/vehicles.ts';
import { addWebhookRoutes } from './routes/webhooks.ts';

export interface ApiOptions {
  readonly registry: Registry;
  readonly requestsPerMinute?: number;
  readonly trustProxy?: boolean | string;
  /** Where the built console lies. */
  readonly consoleFolder?: string;
  /** Told when readings were stored. */
  readonly onStored?: () => void;
}

export async function apiApp(context: Context, options: ApiOptions): Promise<FastifyInstance> {
  const app = await httpApp({
    logger: context.log,
    registry: options.registry,
    problemOf: storeProblem,
    https: context.https,
    ...(options.requestsPerMinute !== undefined && { requestsPerMinute: options.requestsPerMinute }),
    ...(options.trustProxy !== undefined && { trustProxy: options.trustProxy }),
  });
  addGate(app, { keys: storeKeys(context.store), nowMs: () => context.clock.now() });
  await describeApi(app);
  addSystemRoutes(app, { registry: options.registry, ready: () => answers(context) });
  addProblemPages(app);
  addDocumentRoutes(app);
  const api = app as unknown as Api;
  const { onStored } = options;
  addReadingRoutes(api, context, { registry: options.registry, ...(onStored !== undefined && { onStored }) });
  addAnomalyRoutes(api, context);
  addCheckRoutes(api, context);
  addEpisodeRoutes(api, context);
  addChangeRoutes(api, context);
  addDigestRoutes(api, context);
  addDriverRoutes(api, context);
  addFileRoutes(api, context);
  addPolicyRoutes(api, context);
  addProfileRoutes(api, context);
  addSiteRoutes(api, context);
  addVehicleRoutes(api, context);
  addWebhookRoutes(api, context);
  addSessionRoutes(api, context);
  addPeopleRoutes(api, context);
  addTokenRoutes(api, context);
  addAuditRoutes(api, context);
  await addConsole(app, options.consoleFolder);
  return app;
}

async function answers({ store }: Context): Promise<boolean> {
  try {
    await store.query('select 1');
    return true;
  } catch {
    return false;
  }
}
