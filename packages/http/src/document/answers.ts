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

/** Changes the document in place. */
export function describeAnswers(document: AnsweringDocument): void {
  const problems: Record<string, Answer> = {};
  for (const methods of Object.values(document.paths ?? {})) {
    for (const operation of Object.values(methods)) {
      for (const [status, answer] of Object.entries(operation.responses ?? {})) {
        if ('$ref' in answer) continue;
        const waits = status === '429' || status === '503' ? (['Retry-After'] as const) : [];
        answer.headers = { ...answer.headers, ...carrying([...onEvery, ...waits]) };
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
