/**
 * What every answer carries, said once: the headers of the rate limit on each, the problems as shared components. Only what the
 * server really sends stands here; a test compares.
 */

interface Answer {
  description?: string;
  content?: Record<string, unknown>;
  headers?: Record<string, unknown>;
}

interface Operation {
  summary?: string;
  parameters?: object[];
  responses?: Record<string, Answer | { $ref: string }>;
}

export interface AnsweringDocument {
  paths?: Record<string, Record<string, Operation>>;
  components?: Record<string, unknown>;
}

const count = { type: 'integer', format: 'int32', minimum: 0, maximum: 2 ** 31 - 1 };

const headers = {
  'X-RateLimit-Limit': { description: 'Requests that this address may send in the time window', schema: count },
  'X-RateLimit-Remaining': { description: 'Requests left in the time window', schema: count },
  'X-RateLimit-Reset': { description: 'Seconds until the time window begins anew', schema: count },
  'Retry-After': { description: 'Seconds to wait before trying again', schema: count },
  ETag: {
    description: 'The version of what was answered; send it as If-None-Match to be told only of changes',
    schema: { type: 'string', maxLength: 64 },
  },
  'X-Request-Id': {
    description:
      'Under this the request stands in the log of the service; 8 to 64 letters, digits, `_`, `.` and `-` are taken over',
    schema: { type: 'string', maxLength: 64, pattern: '^[\\w.-]{8,64}$' },
  },
};

type HeaderName = keyof typeof headers;

const onEvery: readonly HeaderName[] = [
  'X-RateLimit-Limit',
  'X-RateLimit-Remaining',
  'X-RateLimit-Reset',
  'X-Request-Id',
];

const carrying = (names: readonly HeaderName[]) =>
  Object.fromEntries(names.map((name) => [name, { $ref: `#/components/headers/${name}` }]));

/** Every JSON answer to a GET has a tag; see `page/etag.ts`. */
function describeConditional(operation: Operation): void {
  const ifNoneMatch = {
    name: 'if-none-match',
    in: 'header',
    required: false,
    description: 'The ETag of an answer that the caller has: 304 where it is still the same',
    schema: { type: 'string', maxLength: 1000 },
  };
  operation.parameters = [...(operation.parameters ?? []), ifNoneMatch];
  operation.responses = { ...operation.responses, 304: { description: 'Nothing has changed since that answer' } };
}

/** Changes the document in place. */
export function describeAnswers(document: AnsweringDocument): void {
  const problems: Record<string, Answer> = {};
  for (const methods of Object.values(document.paths ?? {})) {
    for (const [method, operation] of Object.entries(methods)) {
      if (method === 'get') describeConditional(operation);
      for (const [status, answer] of Object.entries(operation.responses ?? {})) {
        if ('$ref' in answer) continue;
        const waits = status === '429' || status === '503' ? (['Retry-After'] as const) : [];
        const tagged = method === 'get' && (status === '200' || status === '304') ? (['ETag'] as const) : [];
        answer.headers = { ...answer.headers, ...carrying([...onEvery, ...waits, ...tagged]) };
        if (answer.content !== undefined && 'application/problem+json' in answer.content) {
          const name = `Problem${status[0]!.toUpperCase()}${status.slice(1)}`;
          problems[name] = answer;
          operation.responses![status] = { $ref: `#/components/responses/${name}` };
        } else if (answer.description === 'Default Response') {
          answer.description = operation.summary ?? 'Done';
        }
      }
    }
  }
  document.components = { ...document.components, headers, responses: problems };
}
