/**
 * What can go wrong with the store, as sentences for people. A stable code tells a program which it was; no message holds a
 * password, a connection string, or a value from a row.
 */

export type StoreErrorCode =
  /** The database cannot be reached, or went away and stayed away. */
  | 'unreachable'
  /** It answers, but will not let us in. */
  | 'access-denied'
  /** The connection string or the folder cannot be used. */
  | 'unusable-address'
  /** Another process has the folder of the embedded database open. */
  | 'in-use'
  /** PostgreSQL is older than the SQL here needs. */
  | 'too-old'
  /** The tables were made by a newer gearhold. */
  | 'newer-schema'
  /** A migration that was applied is not the one that stands in the folder. */
  | 'migration-changed'
  /** A migration failed; nothing of it was kept. */
  | 'migration-failed'
  /** The database refused a row as impossible. */
  | 'refused-row'
  /** The disk of the database is full. */
  | 'full';

export class StoreError extends Error {
  readonly code: StoreErrorCode;

  constructor(code: StoreErrorCode, message: string, options?: { cause?: unknown }) {
    super(message, options);
    this.name = 'StoreError';
    this.code = code;
  }
}
