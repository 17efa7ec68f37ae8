/**
 * Cursors of keyset pages: where the last page ended and for which query, opaque to the caller. They are bound to the query, so
 * that one used with other filters is refused instead of skipping rows. They hold nothing secret.
 */
import { createHash } from 'node:crypto';
import { z } from 'zod';
import { ProblemError } from '../problems/problem.ts';

const cursorSchema = z.strictObject({
  q: z.string(),
  k: z.array(z.union([z.string(), z.number()])).max(8),
});

/** Values of the sort key of the last row of a page. */
export type Key = readonly (string | number)[];

/** Short hash of what was asked; the same for the same filters whatever their order. */
function fingerprint(query: Readonly<Record<string, unknown>>): string {
  const entries = Object.entries(query)
    .filter(([, value]) => value !== undefined)
    .sort(([a], [b]) => (a < b ? -1 : 1));
  return createHash('sha256').update(JSON.stringify(entries)).digest('base64url').slice(0, 12);
}

export function writeCursor(query: Readonly<Record<string, unknown>>, key: Key): string {
  return Buffer.from(JSON.stringify({ q: fingerprint(query), k: key })).toString('base64url');
}

/**
 * The key that a cursor holds.
 *
 * @param shape what the key of this query is made of
 * @throws ProblemError `cursor-invalid` where it was altered or belongs to another query
 */
export function readCursor(
  query: Readonly<Record<string, unknown>>,
  cursor: string,
  shape: readonly ('string' | 'number')[],
): Key {
  const parsed = cursorSchema.safeParse(decoded(cursor));
  const fits =
    parsed.success &&
    parsed.data.q === fingerprint(query) &&
    parsed.data.k.length === shape.length &&
    parsed.data.k.every((part, at) => typeof part === shape[at]);
  if (!fits) throw new ProblemError('cursor-invalid');
  return parsed.data.k;
}

function decoded(cursor: string): unknown {
  try {
    return JSON.parse(Buffer.from(cursor, 'base64url').toString('utf8'));
  } catch {
    return null;
  }
}
