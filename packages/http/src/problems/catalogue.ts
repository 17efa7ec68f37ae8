/**
 * Every problem that our HTTP programs answer with, in one table: a stable `type` by RFC 9457, its status, its title, what it
 * means and what to do. The pages at `/problems/NAME` are this table, and nothing answers with a problem that is not in it.
 */

/** One kind of problem. */
export interface ProblemKind {
  readonly status: number;
  /** Short, the same every time. */
  readonly title: string;
  /** What it means. */
  readonly means: string;
  /** What the caller can do. */
  readonly remedy: string;
}

export const problemKinds = {
  'request-invalid': {
    status: 400,
    title: 'The request does not have the documented form',
    means:
      'A parameter, header or field of the body is missing, unknown or outside what is allowed; `errors` names each.',
    remedy: 'Correct the places named in `errors` and send it again.',
  },
  'body-unreadable': {
    status: 400,
    title: 'The body could not be read',
    means: 'The body is not the JSON, NDJSON, CSV or gzip that its headers say it is, or it ends too early.',
    remedy: 'Check Content-Type and Content-Encoding against what is sent.',
  },
  'cursor-invalid': {
    status: 400,
    title: 'The cursor is not one of ours',
    means: 'A page or change cursor was altered, or belongs to another query.',
    remedy: 'Use `nextCursor` of the page before, with the same filters; or begin without a cursor.',
  },
  'not-signed-in': {
    status: 401,
    title: 'Nobody is signed in',
    means: 'The request carries neither a token nor the cookie of a live session.',
    remedy: 'Send `Authorization: Bearer TOKEN`, or sign in.',
  },
  'token-refused': {
    status: 401,
    title: 'The token is not valid',
    means: 'The token is unknown, has expired or was revoked.',
    remedy: 'Have an administrator issue a new one.',
  },
  'sign-in-refused': {
    status: 401,
    title: 'Name or password is wrong',
    means: 'No person with this name and password may sign in.',
    remedy: 'Try again, or have an administrator set a new one-time password.',
  },
  'password-must-change': {
    status: 403,
    title: 'A new password is needed first',
    means: 'The person signed in with a one-time password, which opens nothing but its own replacement.',
    remedy: 'Set a password of at least 12 characters, then go on.',
  },
  'not-allowed': {
    status: 403,
    title: 'The scope does not allow this',
    means: 'The token or person is known but lacks the scope that this needs; `detail` names it.',
    remedy: 'Use a token with that scope, or ask an administrator for it.',
  },
  'csrf-refused': {
    status: 403,
    title: 'The request does not prove that it comes from our page',
    means: 'A change was asked with the session cookie but without the matching `x-csrf-token` header.',
    remedy: 'Send the `csrfToken` that signing in gave, in the header `x-csrf-token`.',
  },
  'not-found': {
    status: 404,
    title: 'There is no such thing',
    means: 'Nothing is known under this address, or it belongs to a terminal that this token or person may not see.',
    remedy: 'Check the address; whether a thing of another terminal exists is not told.',
  },
  'method-unknown': {
    status: 405,
    title: 'The address does not take this method',
    means: 'The path exists, but not for this method; `Allow` lists those that do.',
    remedy: 'Use one of the methods in `Allow`.',
  },
  'not-acceptable': {
    status: 406,
    title: 'None of the accepted formats is offered',
    means: '`Accept` names no format that this address can give.',
    remedy: 'Accept `application/json`, or one of the formats that the reference names for this address.',
  },
  'request-slow': {
    status: 408,
    title: 'The request took too long to arrive',
    means: 'The headers or the body did not arrive within the time limit.',
    remedy: 'Send smaller batches, or mend the connection.',
  },
  'state-conflict': {
    status: 409,
    title: 'What is there now does not allow this',
    means:
      'The thing was changed meanwhile, exists already, or is in a state in which this cannot be done; `detail` says which.',
    remedy: 'Read it again and decide anew.',
  },
  'policy-in-force': {
    status: 409,
    title: 'A policy that is or was in force is never edited',
    means: 'Episodes were judged by it, so that it stays as it is.',
    remedy: 'Draft a new version and put that in force from a date.',
  },
  'idempotency-mismatch': {
    status: 409,
    title: 'The idempotency key was used for something else',
    means: 'The same key came before with another body, or the first request with it is still at work.',
    remedy: 'Use a new key for a new batch; repeat a batch under its own key.',
  },
  'precondition-failed': {
    status: 412,
    title: 'The thing has changed since it was read',
    means: '`If-Match` names a version that is no longer the present one.',
    remedy: 'Read it again, look at the change, and send the new ETag.',
  },
  'body-too-large': {
    status: 413,
    title: 'The body is too large',
    means: 'The body, or what it unpacks to, is above the limit; `detail` names the limit.',
    remedy: 'Send it in several batches.',
  },
  'media-type-unknown': {
    status: 415,
    title: 'The type or encoding of the body is not taken here',
    means: '`Content-Type` or `Content-Encoding` is none of those that the reference names for this address.',
    remedy: 'Send one that is named, or leave Content-Encoding out.',
  },
  'content-unusable': {
    status: 422,
    title: 'The content can be read but not used',
    means: 'Form and types are right, but what is said cannot be so; `errors` names each place.',
    remedy: 'Correct the places named in `errors`.',
  },
  'too-many-requests': {
    status: 429,
    title: 'Too many requests',
    means: 'More requests came from this caller than the limit allows.',
    remedy: 'Wait for as many seconds as `Retry-After` says.',
  },
  'intake-full': {
    status: 429,
    title: 'The intake is full for the moment',
    means: 'More readings wait to be written than the limit allows. Nothing of this batch was taken.',
    remedy: 'Send the same batch again after as many seconds as `Retry-After` says, under the same idempotency key.',
  },
  'sign-in-locked': {
    status: 429,
    title: 'Signing in is locked for a while',
    means: 'Too many wrong passwords were tried for this name or from this address.',
    remedy: 'Wait for as many seconds as `Retry-After` says.',
  },
  'headers-too-large': {
    status: 431,
    title: 'The headers are too large',
    means: 'The header lines together are above the limit of the server.',
    remedy: 'Send fewer or shorter headers.',
  },
  'server-fault': {
    status: 500,
    title: 'A fault of ours',
    means: 'Something went wrong that should not; it is in our log under the `requestId`.',
    remedy: 'Try again later, and tell whoever runs this service the `requestId`.',
  },
  'store-unreachable': {
    status: 503,
    title: 'The database cannot be reached',
    means: 'The store does not answer. Nothing of this request was kept.',
    remedy: 'Try again after as many seconds as `Retry-After` says.',
  },
  'shutting-down': {
    status: 503,
    title: 'The service is about to stop',
    means: 'It finishes what it accepted and takes nothing new.',
    remedy: 'Try again after as many seconds as `Retry-After` says.',
  },
} as const satisfies Readonly<Record<string, ProblemKind>>;

export type ProblemName = keyof typeof problemKinds;

/** The stable `type` of a problem: a path of the service that answers, where its page stands. */
export function problemType(name: ProblemName): string {
  return `/problems/${name}`;
}
