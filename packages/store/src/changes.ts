/**
 * The feed of what changed. Its numbers rise in the order in which changes become visible: writers take a lock that they keep
 * until they commit, so that a reader who asks for what came after a number never misses one that was still on its way.
 */
import type { Statements, Transaction } from './engine/engine.ts';
import { instant } from './engine/values.ts';
import { anomalyVisible, visible } from './queries/find-episodes.ts';

export interface Change {
  readonly changeId: number;
  /** ms since the epoch. */
  readonly atMs: number;
  readonly subject: 'episode' | 'anomaly' | 'vehicle' | 'driver' | 'site' | 'policy';
  readonly subjectId: string;
  readonly change: 'added' | 'changed' | 'withdrawn' | 'returned' | 'reviewed' | 'erased';
  /** Of the episode; 0 where the change is none of it. */
  readonly revision: number;
}

/** Notes changes. To be called last in a transaction: it keeps other writers waiting. */
export async function noteChanges(
  transaction: Transaction,
  changes: readonly Omit<Change, 'changeId' | 'atMs'>[],
  nowMs: number,
): Promise<void> {
  if (changes.length === 0) return;
  await transaction.query(`select pg_advisory_xact_lock(hashtextextended('gearhold change', 0))`);
  await transaction.query(
    `insert into change (at, subject, subject_id, change, revision)
    select $1::timestamptz, subject, subject_id, change, revision
    from unnest($2::text[], $3::text[], $4::text[], $5::integer[]) with ordinality
      as given (subject, subject_id, change, revision, place)
    order by place`,
    [
      instant(nowMs),
      changes.map(({ subject }) => subject),
      changes.map(({ subjectId }) => subjectId),
      changes.map(({ change }) => change),
      changes.map(({ revision }) => revision),
    ],
  );
}

/** Changes after a number, in order. */
export function changesAfter(statements: Statements, changeId: number, limit: number): Promise<Change[]> {
  return statements.query<Change>(
    `select change_id as "changeId", at as "atMs", subject, subject_id as "subjectId", change, revision
    from change where change_id > $1 order by change_id limit $2`,
    [changeId, limit],
  );
}

/** The number of the latest change; 0 before the first. */
export async function lastChange(statements: Statements): Promise<number> {
  const [row] = await statements.query<{ last: number }>('select coalesce(max(change_id), 0) as last from change');
  return row!.last;
}

/** Those of some changes that terminals may see, by what their subjects say now. */
export async function changesVisible(
  statements: Statements,
  changes: readonly Change[],
  terminals: readonly string[],
): Promise<Change[]> {
  const ids = (subject: Change['subject']) =>
    changes.flatMap((change) => (change.subject === subject ? [change.subjectId] : []));
  const episodes = await statements.query<{ id: string }>(
    `select e.episode_id as id from episode e where e.episode_id = any ($1::text[]) and ${visible('$2')}`,
    [ids('episode'), terminals],
  );
  const anomalies = await statements.query<{ id: string }>(
    `select a.anomaly_id as id from anomaly a join episode e on e.episode_id = a.episode_id
    where a.anomaly_id = any ($1::text[]) and ${anomalyVisible('a', '$2')}`,
    [ids('anomaly'), terminals],
  );
  const seen = new Set([...episodes, ...anomalies].map(({ id }) => id));
  return changes.filter(({ subjectId }) => seen.has(subjectId));
}
