/**
 * What PostgreSQL's error codes mean to us. The database's own message is kept only as the cause: its details may quote
 * values of a row.
 */
import { StoreError } from '../errors.ts';

/** SQLSTATE of an error of the database (five characters), or null for any other error. */
export function sqlState(error: unknown): string | null {
  if (typeof error !== 'object' || error === null || !('code' in error)) return null;
  const { code } = error;
  return typeof code === 'string' && /^[0-9A-Z]{5}$/.test(code) ? code : null;
}

/**
 * Whether the transaction was refused because of others that ran beside it: nothing was changed, and it may be tried again.
 * 40001 serialization failure, 40P01 deadlock, 55P03 lock not available.
 */
export function isContention(error: unknown): boolean {
  return ['40001', '40P01', '55P03'].includes(sqlState(error) ?? '');
}

/** An impossible row, or a full disk, as a sentence; null for any other error. */
export function refusal(error: unknown): StoreError | null {
  const state = sqlState(error);
  if (state === null) return null;
  if (state === '53100') {
    const message = 'the disk of the database is full; make room, then start again: nothing that was stored is lost';
    return new StoreError('full', message, { cause: error });
  }
  const rule = (error as { constraint?: unknown }).constraint;
  if (!state.startsWith('23') || typeof rule !== 'string') return null;
  return new StoreError('refused-row', `the database refused a row that cannot be: ${rule.replaceAll('_', ' ')}`, {
    cause: error,
  });
}
