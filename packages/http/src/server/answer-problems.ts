/**
 * Whatever goes wrong in a request is answered with a problem of the catalogue; what nobody foresaw is logged whole and told
 * only by its request id.
 */
import type { FastifyError, FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { hasZodFastifySchemaValidationErrors } from 'fastify-type-provider-zod';
import type { ProblemName } from '../problems/catalogue.ts';
import { ProblemError, type ProblemPlace, problemMediaType } from '../problems/problem.ts';

/** What the server itself refuses, by its codes. */
const byCode: Readonly<Record<string, ProblemName>> = {
  FST_ERR_CTP_BODY_TOO_LARGE: 'body-too-large',
  FST_ERR_CTP_INVALID_MEDIA_TYPE: 'media-type-unknown',
  FST_ERR_CTP_EMPTY_TYPE: 'media-type-unknown',
  FST_ERR_CTP_EMPTY_JSON_BODY: 'body-unreadable',
  FST_ERR_CTP_INVALID_JSON_BODY: 'body-unreadable',
  FST_ERR_CTP_INVALID_CONTENT_LENGTH: 'body-unreadable',
  FST_ERR_BAD_URL: 'request-invalid',
  FST_ERR_MAX_PARAM_LENGTH: 'not-found',
  FST_ERR_ASYNC_CONSTRAINT: 'request-invalid',
};

const partOf = { body: 'body', querystring: 'query', params: 'path', headers: 'header' } as const;

/** Turns anything thrown into a problem. */
export type ProblemOf = (error: unknown) => ProblemError | null;

/** Registers the answers for errors and unknown addresses. `own` knows errors of other packages, such as the store's. */
export function answerProblems(app: FastifyInstance, own: ProblemOf): void {
  const methods = methodsByPath(app);
  app.setErrorHandler((error: FastifyError, request, reply) => {
    const problem = problemOf(error, own);
    if (problem.statusCode >= 500) request.log.error({ err: error }, 'request failed');
    return send(reply, request, problem);
  });
  app.setNotFoundHandler((request, reply) => {
    const path = request.url.split('?', 1)[0]!;
    const allowed = methods(path);
    if (allowed.length > 0) {
      const allow = allowed.join(', ');
      const detail = `${path} takes ${allow}, not ${request.method}.`;
      return send(reply, request, new ProblemError('method-unknown', detail, { headers: { allow } }));
    }
    return send(reply, request, new ProblemError('not-found'));
  });
}

/** What the server refuses before it has looked for a route. */
export function answerUnrouted(error: FastifyError, request: FastifyRequest, reply: FastifyReply): void {
  send(
    reply,
    request,
    problemOf(error, () => null),
  );
}

function send(reply: FastifyReply, request: FastifyRequest, problem: ProblemError): FastifyReply {
  return reply
    .code(problem.statusCode)
    .headers(problem.headers)
    .type(problemMediaType)
    .serializer((body: unknown) => JSON.stringify(body))
    .send(problem.body(request.id));
}

function problemOf(error: FastifyError, own: ProblemOf): ProblemError {
  if (error instanceof ProblemError) return error;
  const known = own(error);
  if (known !== null) return known;
  if (hasZodFastifySchemaValidationErrors(error)) return invalid(error);
  const name = byCode[error.code];
  if (name !== undefined) return new ProblemError(name, undefined, { cause: error });
  if (error.statusCode === 429) return new ProblemError('too-many-requests', undefined, { cause: error });
  if (error.statusCode !== undefined && error.statusCode >= 400 && error.statusCode < 500) {
    return new ProblemError('request-invalid', undefined, { cause: error });
  }
  return new ProblemError('server-fault', undefined, { cause: error });
}

interface InvalidRequest {
  readonly validationContext?: string | undefined;
  readonly validation: readonly { instancePath: string; message?: string | undefined }[];
}

function invalid(error: InvalidRequest): ProblemError {
  const part = partOf[(error.validationContext ?? 'body') as keyof typeof partOf] ?? 'body';
  const places: ProblemPlace[] = error.validation.map(({ instancePath, message }) => ({
    in: part,
    pointer: instancePath,
    detail: message ?? 'not as documented',
  }));
  const first = places[0];
  const detail =
    first === undefined
      ? 'The request does not have the documented form.'
      : `In the ${part}, ${first.pointer === '' ? 'as a whole' : `at ${first.pointer}`}: ${first.detail}.`;
  return new ProblemError('request-invalid', detail, { places });
}

/** Which methods a path takes, gathered from the routes as they are registered. */
function methodsByPath(app: FastifyInstance): (path: string) => string[] {
  const known: { pattern: RegExp; method: string }[] = [];
  app.addHook('onRoute', ({ url, method }) => {
    const source = url
      .split('/')
      .map((part) =>
        part.startsWith(':') ? '[^/]+' : part === '*' ? '.*' : part.replaceAll(/[.*+?^${}()|[\]\\]/g, '\\$&'),
      )
      .join('/');
    const pattern = new RegExp(`^${source}$`);
    for (const one of typeof method === 'string' ? [method] : method) known.push({ pattern, method: one });
  });
  return (path) => [...new Set(known.filter(({ pattern }) => pattern.test(path)).map(({ method }) => method))].sort();
}
