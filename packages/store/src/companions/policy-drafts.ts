/** Policies as people work on them: drafts, and what is or was in force with who put it there. */
import type { Statements, Transaction } from '../engine/engine.ts';
import { instant } from '../engine/values.ts';
import { keepPolicy, policyIdOf } from './policies.ts';

export interface PolicyDraft {
  readonly policyId: string;
  readonly name: string;
  /** The policy file, JSON text. */
  readonly document: string;
  readonly createdMs: number;
  readonly createdBy: string;
}

const columns = `policy_id as "policyId", name, document, created_at as "createdMs", created_by as "createdBy"`;

/** Drafts, the oldest first. */
export function policyDrafts(store: Statements): Promise<PolicyDraft[]> {
  return store.query<PolicyDraft>(
    `select ${columns} from policy_draft join policy using (policy_id) order by created_at, policy_id`,
  );
}

export async function policyDraft(store: Statements, policyId: string): Promise<PolicyDraft | null> {
  const rows = await store.query<PolicyDraft>(
    `select ${columns} from policy_draft join policy using (policy_id) where policy_id = $1`,
    [policyId],
  );
  return rows[0] ?? null;
}

/** Keeps a draft; one of the same content gets the new name. Gives its id. */
export async function keepDraft(transaction: Transaction, draft: Omit<PolicyDraft, 'policyId'>): Promise<string> {
  const policyId = policyIdOf(draft.document);
  await keepPolicy(transaction, draft.document);
  await transaction.query(
    `insert into policy_draft (policy_id, name, created_at, created_by) values ($1, $2, $3, $4)
     on conflict (policy_id) do update set name = excluded.name`,
    [policyId, draft.name, instant(draft.createdMs), draft.createdBy],
  );
  return policyId;
}

/** Removes a draft; false where there is none. */
export async function dropDraft(store: Statements, policyId: string): Promise<boolean> {
  const rows = await store.query('delete from policy_draft where policy_id = $1 returning policy_id', [policyId]);
  return rows.length > 0;
}

export interface PolicyInForce {
  readonly policyId: string;
  readonly name: string | null;
  readonly document: string;
  /** From when on, ms since the epoch; -Infinity: always. */
  readonly fromMs: number;
  readonly statedMs: number;
  readonly statedBy: string | null;
}

/** What is, was and will be in force, in order of time. */
export function policiesInForce(store: Statements): Promise<PolicyInForce[]> {
  return store.query<PolicyInForce>(
    `select policy_id as "policyId", name, document, valid_from as "fromMs", stated_at as "statedMs", stated_by as "statedBy"
     from policy_validity join policy using (policy_id) order by valid_from`,
  );
}

/** Says what a policy that was put in force is called, and by whom it was. */
export async function namePolicy(store: Statements, fromMs: number, name: string, statedBy: string): Promise<void> {
  await store.query('update policy_validity set name = $2, stated_by = $3 where valid_from = $1', [
    instant(fromMs),
    name,
    statedBy,
  ]);
}
