/**
 * Signing in with a password. Wrong ones cost the same time whether or not the name exists; after ten of them nobody signs in under
 * that name for a quarter of an hour.
 */
import { newSecret, ProblemError, passwordFits, passwordHash, secretHash } from '@gearhold/http';
import { beginSession, type Engine, noteFailedSignIn, noteSignIn, type Person, personByLogin } from '@gearhold/store';

const letThrough = 10;
const lockMs = 15 * 60_000;
/** A working day and a bit. */
const sessionMs = 12 * 3_600_000;

export interface SignedIn {
  readonly person: Person;
  readonly cookie: string;
  readonly csrfToken: string;
  readonly expiresMs: number;
}

/** Hash of a password that nobody has, made once: what a name that does not exist is compared with. */
let nobodys: Promise<string> | null = null;

/** @throws ProblemError `sign-in-refused`, `sign-in-locked` */
export async function signIn(store: Engine, login: string, password: string, nowMs: number): Promise<SignedIn> {
  const person = await personByLogin(store, login);
  if (person?.lockedUntilMs != null && person.lockedUntilMs > nowMs) {
    throw new ProblemError('sign-in-locked', undefined, { retryAfterSeconds: (person.lockedUntilMs - nowMs) / 1000 });
  }
  nobodys ??= passwordHash(newSecret());
  const fits = await passwordFits(password, person?.passwordHash ?? (await nobodys));
  if (person === null || !fits || person.disabled) {
    if (person !== null) await noteFailedSignIn(store, person.personId, letThrough, nowMs + lockMs);
    throw new ProblemError('sign-in-refused');
  }
  const cookie = newSecret();
  const csrfToken = newSecret();
  const expiresMs = nowMs + sessionMs;
  await store.transaction(async (transaction) => {
    await beginSession(transaction, {
      sessionHash: secretHash(cookie),
      personId: person.personId,
      csrfToken,
      createdMs: nowMs,
      expiresMs,
    });
    await noteSignIn(transaction, person.personId, nowMs);
  });
  return { person: { ...person, lastSignInMs: nowMs }, cookie, csrfToken, expiresMs };
}
