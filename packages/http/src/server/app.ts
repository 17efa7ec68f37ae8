/**
 * The Fastify application that our HTTP programs have in common: validation by zod, problems for every error, request ids, limits
 * on bodies and times, security headers, request metrics. Routes come after it.
 */
import { randomUUID } from 'node:crypto';
import cookie from '@fastify/cookie';
import helmet from '@fastify/helmet';
import rateLimit from '@fastify/rate-limit';
import Fastify, { type FastifyBaseLogger, type FastifyInstance } from 'fastify';
import { serializerCompiler, validatorCompiler } from 'fastify-type-provider-zod';
import type { Registry } from 'prom-client';
import { bodyLimit } from '../document/limits.ts';
import { addEtags } from '../page/etag.ts';
import { answerProblems, answerUnrouted, type ProblemOf } from './answer-problems.ts';
import { measureRequests } from './metrics.ts';

export interface HttpAppOptions {
  readonly logger: FastifyBaseLogger | false;
  readonly registry: Registry;
  /** Knows errors of other packages. */
  readonly problemOf?: ProblemOf;
  /** Largest body of a route that states none, bytes. */
  readonly bodyLimit?: number;
  /** Requests of one address a minute; none where 0. */
  readonly requestsPerMinute?: number;
  /** Addresses of proxies whose `X-Forwarded-For` is believed. */
  readonly trustProxy?: boolean | string | readonly string[];
  /** Whether people reach it by HTTPS: sets HSTS. */
  readonly https?: boolean;
}

const requestIdPattern = /^[\w.-]{8,64}$/;

/** An application without routes. Close it with `close()`, which finishes what it accepted. */
export async function httpApp(options: HttpAppOptions): Promise<FastifyInstance> {
  const app = Fastify({
    ...(options.logger === false ? { logger: false } : { loggerInstance: options.logger }),
    bodyLimit: options.bodyLimit ?? bodyLimit,
    connectionTimeout: 60_000,
    requestTimeout: 60_000,
    keepAliveTimeout: 30_000,
    handlerTimeout: 0,
    frameworkErrors: answerUnrouted as never,
    return503OnClosing: true,
    trustProxy: (options.trustProxy ?? false) as boolean,
    routerOptions: { maxParamLength: 300, ignoreTrailingSlash: false },
    genReqId: (request) => {
      const given = request.headers['x-request-id'];
      return typeof given === 'string' && requestIdPattern.test(given) ? given : randomUUID();
    },
  });
  app.setValidatorCompiler(validatorCompiler);
  app.setSerializerCompiler(serializerCompiler);
  answerProblems(app, options.problemOf ?? (() => null));
  measureRequests(app, options.registry);
  app.addHook('onSend', async (request, reply) => {
    reply.header('x-request-id', request.id);
    if (!reply.hasHeader('cache-control')) reply.header('cache-control', 'no-store');
  });
  addEtags(app);
  await app.register(cookie);
  await app.register(helmet, {
    contentSecurityPolicy: {
      useDefaults: false,
      directives: {
        defaultSrc: ["'none'"],
        scriptSrc: ["'self'"],
        styleSrc: ["'self'"],
        imgSrc: ["'self'", 'data:'],
        fontSrc: ["'self'"],
        connectSrc: ["'self'"],
        baseUri: ["'none'"],
        formAction: ["'self'"],
        frameAncestors: ["'none'"],
      },
    },
    hsts: options.https === true,
    referrerPolicy: { policy: 'same-origin' },
  });
  if (options.requestsPerMinute !== 0) {
    await app.register(rateLimit, { max: options.requestsPerMinute ?? 1200, timeWindow: 60_000 });
  }
  return app;
}
