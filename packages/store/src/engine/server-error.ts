/** Errors of a server that is down, going down, or will not let us in. No message repeats a password. */
import { StoreError } from '../errors.ts';
import type { Address } from './address.ts';
import { sqlState } from './database-error.ts';

/** System errors of a connection that could not be made or broke. */
const systemCodes = new Set([
  'ECONNREFUSED',
  'ECONNRESET',
  'EPIPE',
  'ETIMEDOUT',
  'EHOSTUNREACH',
  'ENETUNREACH',
  'ENOTFOUND',
  'EAI_AGAIN',
  'ENOENT',
]);

/** Messages of the driver for a connection that ended, which carry no code. */
const driverMessages =
  /connection terminated|timeout exceeded when trying to connect|client has encountered a connection error|not queryable/i;

/**
 * Whether the server cannot be reached or the connection broke: class 08 connection exceptions; 57P01 to 57P03 shutting down,
 * crashed, starting up; 53300 too many connections.
 */
export function isConnectionLoss(error: unknown): boolean {
  const state = sqlState(error);
  if (state !== null && (state.startsWith('08') || /^57P0[123]$/.test(state) || state === '53300')) return true;
  if (!(error instanceof Error)) return false;
  if (error instanceof AggregateError) return error.errors.some(isConnectionLoss);
  const code = (error as NodeJS.ErrnoException).code;
  return (code !== undefined && systemCodes.has(code)) || driverMessages.test(error.message);
}

/** Whether the server refused who we are: class 28 invalid authorization; 3D000 no such database; 42501 no right. */
export function isDenied(error: unknown): boolean {
  const state = sqlState(error);
  return state !== null && (state.startsWith('28') || state === '3D000');
}

export function unreachable(address: Address, cause: unknown, attempts = 1): StoreError {
  const tries = attempts > 1 ? ` (tried ${attempts} times)` : '';
  return new StoreError(
    'unreachable',
    `the database at ${address.shown} does not answer${tries}: check that it runs and that this machine can reach it, ` +
      'then start again; what was stored is kept, and what was not is taken again',
    { cause },
  );
}

export function accessDenied(address: Address, cause: unknown): StoreError {
  const missing = sqlState(cause) === '3D000';
  const why = missing
    ? 'there is no database of that name; make it with createdb, or correct DATABASE_URL'
    : 'the user name or password was not accepted; correct DATABASE_URL';
  return new StoreError('access-denied', `the database at ${address.shown} refused the connection: ${why}`, { cause });
}
