/** What the service counts, in the Prometheus text format: its own figures and those of each request. */
import type { FastifyInstance } from 'fastify';
import { collectDefaultMetrics, Histogram, Registry } from 'prom-client';

/** A registry of one service; tests make as many as they like. */
export function newRegistry(): Registry {
  const registry = new Registry();
  collectDefaultMetrics({ register: registry });
  return registry;
}

/** Times every request by route, method and status. */
export function measureRequests(app: FastifyInstance, registry: Registry): void {
  const seconds = new Histogram({
    name: 'gearhold_http_request_seconds',
    help: 'Time to answer a request',
    labelNames: ['method', 'route', 'status'],
    buckets: [0.005, 0.02, 0.1, 0.5, 2, 10],
    registers: [registry],
  });
  app.addHook('onResponse', async (request, reply) => {
    const route = request.routeOptions.url ?? 'unknown';
    seconds.observe({ method: request.method, route, status: reply.statusCode }, reply.elapsedTime / 1000);
  });
}
