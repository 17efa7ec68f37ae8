/** Tokens of programs: known by their hash; they expire, and are revoked but never deleted. */
import type { Statements } from '../engine/engine.ts';
import { instant, instantOrNull } from '../engine/values.ts';
import type { Grants } from './person.ts';

export interface Token extends Grants {
  readonly tokenId: string;
  readonly name: string;
  readonly createdMs: number;
  readonly createdBy: string;
  readonly expiresMs: number | null;
  readonly revokedMs: number | null;
  readonly lastUsedMs: number | null;
}

const columns = `token_id as "tokenId", name, scopes, terminals, driver_names as "driverNames", created_at as "createdMs",
  created_by as "createdBy", expires_at as "expiresMs", revoked_at as "revokedMs", last_used_at as "lastUsedMs"`;

export interface NewToken extends Grants {
  readonly tokenId: string;
  /** SHA-256 of the token, hexadecimal. */
  readonly tokenHash: string;
  readonly name: string;
  readonly createdMs: number;
  readonly createdBy: string;
  readonly expiresMs: number | null;
}

export async function issueToken(store: Statements, token: NewToken): Promise<Token> {
  const [row] = await store.query<Token>(
    `insert into token
       (token_id, token_hash, name, scopes, terminals, driver_names, created_at, created_by, expires_at)
     values ($1, $2, $3, $4, $5, $6, $7, $8, $9)
     returning ${columns}`,
    [
      token.tokenId,
      token.tokenHash,
      token.name,
      token.scopes,
      token.terminals,
      token.driverNames,
      instant(token.createdMs),
      token.createdBy,
      instantOrNull(token.expiresMs),
    ],
  );
  return row!;
}

/** The token of a hash, where it lives. Its use is noted once an hour. */
export async function liveToken(store: Statements, tokenHash: string, nowMs: number): Promise<Token | null> {
  const now = instant(nowMs);
  const rows = await store.query<Token>(
    `select ${columns} from token
     where token_hash = $1 and revoked_at is null and (expires_at is null or expires_at > $2)`,
    [tokenHash, now],
  );
  const token = rows[0] ?? null;
  if (token !== null && (token.lastUsedMs ?? Number.NEGATIVE_INFINITY) < nowMs - 3_600_000) {
    await store.query('update token set last_used_at = $2 where token_id = $1', [token.tokenId, now]);
  }
  return token;
}

/** Tokens in the order in which they were issued, from after one on. */
export function tokens(
  store: Statements,
  after: { readonly createdMs: number; readonly tokenId: string } | null,
  limit: number,
): Promise<Token[]> {
  return store.query<Token>(
    `select ${columns} from token
     where $1::timestamptz is null or (created_at, token_id) > ($1::timestamptz, $2)
     order by created_at, token_id limit $3`,
    [instantOrNull(after?.createdMs ?? null), after?.tokenId ?? '', limit],
  );
}

/** Revokes a token for good; null where there is none. */
export async function revokeToken(store: Statements, tokenId: string, nowMs: number): Promise<Token | null> {
  const rows = await store.query<Token>(
    `update token set revoked_at = coalesce(revoked_at, $2) where token_id = $1 returning ${columns}`,
    [tokenId, instant(nowMs)],
  );
  return rows[0] ?? null;
}
