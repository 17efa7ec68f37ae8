/** How our routes are declared: by zod schemas, with who may, and with the answers that every one of them can give. */

import type {
  FastifyBaseLogger,
  FastifyInstance,
  RawReplyDefaultExpression,
  RawRequestDefaultExpression,
  RawServerDefault,
} from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import { z } from 'zod';
import type { Access } from '../access/gate.ts';
import { problemSchema } from '../problems/problem.ts';

export type Api = FastifyInstance<
  RawServerDefault,
  RawRequestDefaultExpression,
  RawReplyDefaultExpression,
  FastifyBaseLogger,
  ZodTypeProvider
>;

export interface About {
  readonly operationId: string;
  readonly tags: readonly [string];
  readonly summary: string;
  readonly description?: string;
}

/** What stands in the document of every operation beside its own. */
export function about(access: Access, { operationId, tags, summary, description }: About) {
  return {
    operationId,
    tags: [...tags],
    summary,
    description: description ?? summary,
    security: access === 'open' ? [] : [{ token: needed(access) }, { session: needed(access) }],
  };
}

/** OpenAPI 3.1 lets a requirement of any scheme list what the caller must hold. */
function needed(access: Access): string[] {
  return access === 'signed-in' ? [] : [access];
}

const problemAnswer = (description: string) => ({
  description,
  content: { 'application/problem+json': { schema: problemSchema } },
});

/** Problems that any operation may answer with. */
export const problemAnswers = {
  400: problemAnswer('The request does not have the documented form'),
  401: problemAnswer('Nobody is signed in, or the token is not valid'),
  403: problemAnswer('The scope does not allow this'),
  404: problemAnswer('There is no such thing, or it is of another terminal'),
  409: problemAnswer('What is there now does not allow this'),
  412: problemAnswer('`If-Match` names a version that is no longer the present one'),
  422: problemAnswer('The content can be read but not used'),
  429: problemAnswer('Too many requests; Retry-After says how long to wait'),
  500: problemAnswer('A fault of ours'),
  503: problemAnswer('The store cannot be reached, or the service is about to stop'),
  default: problemAnswer('Any other problem; /problems lists them all'),
};

const streamed = (description: string) => ({
  schema: z.string().meta({ description, maxLength: Number.MAX_SAFE_INTEGER }),
});

/** A list as a page, or whole as lines, by Accept; see `answerList`. */
export function listAnswer<T extends z.ZodType>(page: T) {
  const lines = 'Everything that the filters find: an object a line; a last line with `problem` says that it broke off';
  return {
    description: 'A page as JSON, or the whole as NDJSON or CSV',
    content: {
      'application/json': { schema: page },
      'application/x-ndjson': streamed(lines),
      'text/csv': streamed('Everything that the filters find, with a header row'),
    },
  };
}

/** Headers of a change that may be bound to the version that the caller read. */
export const ifMatch = z.object({
  'if-match': z.string().max(1000).optional().meta({ description: 'The ETag that the thing was read with' }),
});

export const nothing = z.undefined().meta({ description: 'Nothing' });
