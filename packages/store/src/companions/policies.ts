/**
 * Policies and when they hold: an episode is judged by the one in force at its load transfer. A policy is known by its
 * content, and stays as long as an episode was judged by it.
 */
import { createHash } from 'node:crypto';
import type { Statements, Transaction } from '../engine/engine.ts';
import { instant } from '../engine/values.ts';

export interface PolicyValidity {
  /** From when on, ms since the epoch; -Infinity: always. */
  readonly fromMs: number;
  readonly policyId: string;
  /** The policy file, JSON text. */
  readonly document: string;
}

/** SHA-256 of the document's bytes, hexadecimal. */
export function policyIdOf(document: string): string {
  return createHash('sha256').update(document).digest('hex');
}

/** Keeps a policy, so that episodes can name it; gives its id. @param document the policy file, JSON text */
export async function keepPolicy(statements: Statements, document: string): Promise<string> {
  const policyId = policyIdOf(document);
  await statements.query(
    'insert into policy (policy_id, document) values ($1, $2) on conflict (policy_id) do nothing',
    [policyId, document],
  );
  return policyId;
}

/** States that a policy holds from an instant on, in place of any other that began at that instant. */
export async function statePolicy(
  transaction: Transaction,
  document: string,
  fromMs: number,
  nowMs: number,
): Promise<{ readonly policyId: string; readonly changed: boolean }> {
  const policyId = await keepPolicy(transaction, document);
  const changed = await transaction.query(
    `insert into policy_validity as known (valid_from, policy_id, stated_at) values ($1, $2, $3)
    on conflict (valid_from) do update set policy_id = excluded.policy_id, stated_at = excluded.stated_at
    where known.policy_id <> excluded.policy_id returning valid_from`,
    [instant(fromMs), policyId, instant(nowMs)],
  );
  return { policyId, changed: changed.length > 0 };
}

/** Which policy holds from when, in order of time; before the first one the built-in one holds. */
export function policyValidities(statements: Statements): Promise<PolicyValidity[]> {
  return statements.query<PolicyValidity>(
    `select valid_from as "fromMs", policy_id as "policyId", document
    from policy_validity join policy using (policy_id) order by valid_from`,
  );
}

/** The document of a policy, JSON text, or null where none of that id is known. */
export async function policyDocument(statements: Statements, policyId: string): Promise<string | null> {
  const [row] = await statements.query<{ document: string }>('select document from policy where policy_id = $1', [
    policyId,
  ]);
  return row?.document ?? null;
}
