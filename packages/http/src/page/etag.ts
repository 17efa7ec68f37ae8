/** Entity tags of what was answered, for conditional requests by RFC 9110 section 13. */
import { createHash } from 'node:crypto';
import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { ProblemError } from '../problems/problem.ts';

/** A strong tag of the bytes sent. */
export function etagOf(body: string): string {
  return `"${createHash('sha256').update(body).digest('base64url').slice(0, 22)}"`;
}

/** Whether `If-None-Match` names the tag: by weak comparison, as section 13.1.2 asks. */
export function noneMatch(header: string | undefined, etag: string): boolean {
  return header !== undefined && names(header, etag);
}

/** Whether `If-Match` names the tag: by strong comparison, as section 13.1.1 asks. */
export function matches(header: string, etag: string): boolean {
  return header.trim() === '*' || header.split(',').some((tag) => tag.trim() === etag);
}

/** Tags every JSON answer to a GET, and leaves its body out where the caller has it already. */
export function addEtags(app: FastifyInstance): void {
  app.addHook<string>('onSend', async (request, reply, payload) => {
    const type = String(reply.getHeader('content-type') ?? '');
    const tagged = request.method === 'GET' && reply.statusCode === 200 && type.startsWith('application/json');
    if (!tagged || typeof payload !== 'string' || reply.hasHeader('etag')) return payload;
    const etag = etagOf(payload);
    reply.header('etag', etag);
    if (!noneMatch(request.headers['if-none-match'], etag)) return payload;
    reply.code(304).removeHeader('content-length');
    return '';
  });
}

/**
 * Refuses a change whose `If-Match` names another version than the present one, null where there is none.
 *
 * @param schema of the answer that the caller read
 * @throws ProblemError `precondition-failed`
 */
export function requireMatch<T extends z.ZodType>(
  header: string | undefined,
  schema: T,
  present: z.output<T> | null,
): void {
  if (header === undefined) return;
  const fits = present !== null && matches(header, etagOf(JSON.stringify(z.encode(schema, present))));
  if (!fits) throw new ProblemError('precondition-failed');
}

function names(header: string, etag: string): boolean {
  if (header.trim() === '*') return true;
  return header.split(',').some((tag) => tag.trim().replace(/^W\//, '') === etag);
}
