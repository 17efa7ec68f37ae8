/**
 * Asking the service. Every answer is either what was asked for or a {@link Refusal} with a sentence that can be shown. A change by
 * cookie carries the token of the session, which lives in memory only.
 */

/** What the service, or the way to it, refused. `status` 0: no answer came at all. */
export class Refusal extends Error {
  readonly status: number;
  /** The last part of the problem's type, such as `password-must-change`; null where the answer was none of ours. */
  readonly kind: string | null;

  constructor(status: number, kind: string | null, sentence: string) {
    super(sentence);
    this.name = 'Refusal';
    this.status = status;
    this.kind = kind;
  }
}

let csrfToken: string | null = null;

/** Remembers the token of a session that began, or forgets it with null. */
export function keepCsrfToken(token: string | null): void {
  csrfToken = token;
}

/** @throws Refusal */
export async function ask<T>(
  method: 'GET' | 'POST' | 'PUT' | 'PATCH' | 'DELETE',
  path: string,
  body?: unknown,
): Promise<T> {
  const answer = await send(method, path, body, 'application/json');
  return (answer.status === 204 ? undefined : await answer.json()) as T;
}

async function send(method: string, path: string, body: unknown, accept: string): Promise<Response> {
  let answer: Response;
  try {
    answer = await fetch(path, {
      method,
      headers: {
        accept,
        ...(body !== undefined && { 'content-type': 'application/json' }),
        ...(method !== 'GET' && csrfToken !== null && { 'x-csrf-token': csrfToken }),
      },
      ...(body !== undefined && { body: JSON.stringify(body) }),
    });
  } catch {
    throw new Refusal(0, null, 'The service did not answer. Check the connection, then try again.');
  }
  if (answer.ok) return answer;
  const problem = await answer.json().catch(() => null);
  const kind = typeof problem?.type === 'string' ? (problem.type.split('/').at(-1) ?? null) : null;
  throw new Refusal(answer.status, kind, problem?.detail ?? `The service answered with status ${answer.status}.`);
}

/** A path with its query; what is empty or undefined is left out. */
export function withQuery(path: string, query: Readonly<Record<string, string | number | undefined>>): string {
  const given = Object.entries(query).filter(([, value]) => value !== undefined && value !== '');
  if (given.length === 0) return path;
  return `${path}?${new URLSearchParams(given.map(([name, value]) => [name, String(value)]))}`;
}
