/** Sessions of people: known by the hash of the cookie, ended by time, by signing out, or with the person. */
import type { Statements } from '../engine/engine.ts';
import { instant } from '../engine/values.ts';
import type { Grants } from './person.ts';

export interface NewSession {
  /** SHA-256 of the cookie, hexadecimal. */
  readonly sessionHash: string;
  readonly personId: string;
  readonly csrfToken: string;
  readonly createdMs: number;
  readonly expiresMs: number;
}

/** Begins a session and clears away those that have ended. */
export async function beginSession(store: Statements, session: NewSession): Promise<void> {
  await store.query('delete from session where expires_at <= $1', [instant(session.createdMs)]);
  await store.query(
    'insert into session (session_hash, person_id, csrf_token, created_at, expires_at) values ($1, $2, $3, $4, $5)',
    [session.sessionHash, session.personId, session.csrfToken, instant(session.createdMs), instant(session.expiresMs)],
  );
}

export interface LiveSession extends Grants {
  readonly personId: string;
  readonly name: string;
  readonly mustChangePassword: boolean;
  readonly csrfToken: string;
  readonly expiresMs: number;
}

/** The session of a cookie, where it lives and its person is not disabled. */
export async function liveSession(store: Statements, sessionHash: string, nowMs: number): Promise<LiveSession | null> {
  const rows = await store.query<LiveSession>(
    `select person_id as "personId", name, must_change_password as "mustChangePassword", scopes, terminals,
            driver_names as "driverNames", csrf_token as "csrfToken", expires_at as "expiresMs"
     from session join person using (person_id)
     where session_hash = $1 and expires_at > $2 and not disabled`,
    [sessionHash, instant(nowMs)],
  );
  return rows[0] ?? null;
}

export async function endSession(store: Statements, sessionHash: string): Promise<void> {
  await store.query('delete from session where session_hash = $1', [sessionHash]);
}

/** Ends a person's sessions, but for one that is kept. */
export async function endSessionsOf(store: Statements, personId: string, keptHash: string | null): Promise<void> {
  await store.query('delete from session where person_id = $1 and session_hash is distinct from $2', [
    personId,
    keptHash,
  ]);
}
