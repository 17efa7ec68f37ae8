/**
 * A problem as it is thrown and as it crosses the wire, by RFC 9457 (`application/problem+json`).
 */
import { z } from 'zod';
import { type ProblemName, problemKinds, problemType } from './catalogue.ts';

export const problemMediaType = 'application/problem+json';

/** One place of a request that is wrong. */
export const problemPlaceSchema = z
  .object({
    in: z.enum(['body', 'query', 'path', 'header']).meta({ description: 'Which part of the request' }),
    pointer: z.string().meta({ description: 'JSON Pointer (RFC 6901) into that part' }),
    detail: z.string().meta({ description: 'What was expected there' }),
  })
  .meta({ id: 'ProblemPlace' });

export const problemSchema = z
  .object({
    type: z.string().meta({ description: 'Stable reference of the kind of problem; its page explains it' }),
    title: z.string(),
    status: z.int().min(400).max(599),
    detail: z.string().meta({ description: 'One sentence: what was wrong, where, and what to do' }),
    requestId: z.string().meta({ description: 'Under this the request stands in the log of the service' }),
    errors: z.array(problemPlaceSchema).max(100).optional(),
  })
  .meta({ id: 'Problem', description: 'An error by RFC 9457' });

export type ProblemPlace = z.infer<typeof problemPlaceSchema>;
export type Problem = z.infer<typeof problemSchema>;

export interface ProblemOptions {
  /** The first hundred count. */
  readonly places?: readonly ProblemPlace[];
  /** Sent as `Retry-After`, whole seconds. */
  readonly retryAfterSeconds?: number;
  readonly headers?: Readonly<Record<string, string>>;
  readonly cause?: unknown;
}

/** Thrown by a route: the answer is this problem. */
export class ProblemError extends Error {
  readonly kind: ProblemName;
  readonly detail: string;
  readonly places: readonly ProblemPlace[];
  readonly headers: Readonly<Record<string, string>>;

  constructor(kind: ProblemName, detail?: string, options: ProblemOptions = {}) {
    const text = detail ?? `${problemKinds[kind].means} ${problemKinds[kind].remedy}`;
    super(text, options.cause === undefined ? undefined : { cause: options.cause });
    this.name = 'ProblemError';
    this.kind = kind;
    this.detail = text;
    this.places = (options.places ?? []).slice(0, 100);
    this.headers = {
      ...options.headers,
      ...(options.retryAfterSeconds !== undefined && { 'retry-after': String(Math.ceil(options.retryAfterSeconds)) }),
    };
  }

  get statusCode(): number {
    return problemKinds[this.kind].status;
  }

  /** Its wire form. */
  body(requestId: string): Problem {
    const { status, title } = problemKinds[this.kind];
    return {
      type: problemType(this.kind),
      title,
      status,
      detail: this.detail,
      requestId,
      ...(this.places.length > 0 && { errors: [...this.places] }),
    };
  }
}
