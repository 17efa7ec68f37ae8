/** People and tokens as they cross the wire: never a hash. */
import type { Principal } from '@gearhold/http';
import type { Actor, Person, Token } from '@gearhold/store';

export function iso(timeMs: number): string {
  return new Date(timeMs).toISOString();
}

export function isoOrNull(timeMs: number | null): string | null {
  return timeMs === null ? null : iso(timeMs);
}

type WireScope = 'read' | 'ingest' | 'review' | 'administer';

export function wirePerson(person: Person) {
  return {
    personId: person.personId,
    login: person.login,
    name: person.name,
    scopes: [...person.scopes] as WireScope[],
    terminals: person.terminals === null ? null : [...person.terminals],
    driverNames: person.driverNames,
    disabled: person.disabled,
    mustChangePassword: person.mustChangePassword,
    createdTime: iso(person.createdMs),
    lastSignInTime: isoOrNull(person.lastSignInMs),
  };
}

export function wireToken(token: Token) {
  return {
    tokenId: token.tokenId,
    name: token.name,
    scopes: [...token.scopes] as WireScope[],
    terminals: token.terminals === null ? null : [...token.terminals],
    driverNames: token.driverNames,
    createdTime: iso(token.createdMs),
    createdBy: token.createdBy,
    expiresTime: isoOrNull(token.expiresMs),
    revokedTime: isoOrNull(token.revokedMs),
    lastUsedTime: isoOrNull(token.lastUsedMs),
  };
}

export function actorOf({ kind, id, name }: Principal): Actor {
  return { kind, id, name };
}
