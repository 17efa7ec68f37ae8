/** Answers given to batches of readings, under the caller's key: the same key with the same body gets the same answer. */
import type { Statements } from '../engine/engine.ts';
import { instant } from '../engine/values.ts';

/** Keys are remembered for so long, ms. */
const keptMs = 7 * 86_400_000;
/** A key whose answer never came is free again after so long: whoever held it has died. */
const claimMs = 10 * 60_000;

export interface IntakeKey {
  readonly caller: string;
  readonly key: string;
  /** SHA-256 of what was sent, hexadecimal. */
  readonly bodyHash: string;
}

/**
 * Claims a key before its batch is taken: `new` for whoever may go on, the answer where the same batch was taken under it before,
 * `other` where it stands for another batch or one that is still at work.
 */
export async function claimIntakeKey(
  store: Statements,
  { caller, key, bodyHash }: IntakeKey,
  nowMs: number,
): Promise<'new' | 'other' | { readonly answer: string }> {
  await store.query('delete from intake_answer where at < $1', [instant(nowMs - keptMs)]);
  const claimed = await store.query(
    `insert into intake_answer as known (caller, idempotency_key, body_hash, at) values ($1, $2, $3, $4)
     on conflict (caller, idempotency_key) do update set at = excluded.at
       where known.answer is null and known.body_hash = excluded.body_hash and known.at < $5
     returning caller`,
    [caller, key, bodyHash, instant(nowMs), instant(nowMs - claimMs)],
  );
  if (claimed.length > 0) return 'new';
  const [known] = await store.query<{ bodyHash: string; answer: string | null }>(
    `select body_hash as "bodyHash", answer from intake_answer where caller = $1 and idempotency_key = $2`,
    [caller, key],
  );
  if (known === undefined || known.bodyHash !== bodyHash || known.answer === null) return 'other';
  return { answer: known.answer };
}

export async function keepIntakeAnswer(store: Statements, caller: string, key: string, answer: string): Promise<void> {
  await store.query('update intake_answer set answer = $3 where caller = $1 and idempotency_key = $2', [
    caller,
    key,
    answer,
  ]);
}

/** Lets go of a key whose batch was not taken. */
export async function releaseIntakeKey(store: Statements, caller: string, key: string): Promise<void> {
  await store.query('delete from intake_answer where caller = $1 and idempotency_key = $2 and answer is null', [
    caller,
    key,
  ]);
}
