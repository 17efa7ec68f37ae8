/** For whoever runs the service: whether it lives, whether it can work, and what it counts. */
import type { FastifyInstance } from 'fastify';
import type { Registry } from 'prom-client';
import { ProblemError } from '../problems/problem.ts';

export interface SystemOptions {
  readonly registry: Registry;
  /** Whether the store answers and nothing is shutting down; false sends load elsewhere. */
  readonly ready: () => Promise<boolean>;
}

/** Open, and outside the document: they are no part of the promise to consumers. */
export function addSystemRoutes(app: FastifyInstance, { registry, ready }: SystemOptions): void {
  const options = { config: { access: 'open' as const, rateLimit: false as const }, schema: { hide: true } };
  app.get('/healthz', options, async () => ({ status: 'alive' }));
  app.get('/readyz', options, async () => {
    if (!(await ready())) throw new ProblemError('store-unreachable', undefined, { retryAfterSeconds: 5 });
    return { status: 'ready' };
  });
  app.get('/metrics', options, async (_, reply) => {
    reply.type(registry.contentType);
    return registry.metrics();
  });
}
