/** Reviews of anomalies: added, never changed; and the case that they come to, which stands beside the anomaly. */
import type { Statements, Transaction } from '../engine/engine.ts';
import { instant } from '../engine/values.ts';

export interface StoredReview {
  readonly reviewId: number;
  readonly anomalyId: string;
  readonly action: string;
  readonly reason: string | null;
  readonly note: string | null;
  readonly assigneeId: string | null;
  readonly atMs: number;
  readonly byKind: 'token' | 'person';
  readonly byId: string;
  readonly byName: string;
  /** The review that it takes back. */
  readonly undoes: number | null;
  readonly judged: string;
}

const columns = `review_id as "reviewId", anomaly_id as "anomalyId", action, reason, note, assignee_id as "assigneeId",
  at as "atMs", by_kind as "byKind", by_id as "byId", by_name as "byName", undoes, judged`;

/** Keeps other decisions on these anomalies waiting until the transaction ends. */
export async function lockAnomalies(transaction: Transaction, anomalyIds: readonly string[]): Promise<void> {
  await transaction.query(
    'select from anomaly where anomaly_id = any ($1::text[]) order by anomaly_id for no key update',
    [anomalyIds],
  );
}

/** Reviews of some anomalies, in the order in which they were made. */
export function reviewsOf(statements: Statements, anomalyIds: readonly string[]): Promise<StoredReview[]> {
  return statements.query<StoredReview>(
    `select ${columns} from review where anomaly_id = any ($1::text[]) order by review_id`,
    [anomalyIds],
  );
}

/** Reviews by their ids. */
export function reviewsById(statements: Statements, reviewIds: readonly number[]): Promise<StoredReview[]> {
  return statements.query<StoredReview>(
    `select ${columns} from review where review_id = any ($1::bigint[]) order by review_id`,
    [reviewIds],
  );
}

export async function addReview(
  transaction: Transaction,
  review: Omit<StoredReview, 'reviewId'>,
): Promise<StoredReview> {
  const [row] = await transaction.query<StoredReview>(
    `insert into review (anomaly_id, action, reason, note, assignee_id, at, by_kind, by_id, by_name, undoes, judged)
     values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)
     returning ${columns}`,
    [
      review.anomalyId,
      review.action,
      review.reason,
      review.note,
      review.assigneeId,
      instant(review.atMs),
      review.byKind,
      review.byId,
      review.byName,
      review.undoes,
      review.judged,
    ],
  );
  return row!;
}

export interface CaseStanding {
  readonly state: string;
  readonly assigneeId: string | null;
  readonly judged: string | null;
}

/** Puts a case where its reviews bring it. */
export async function putCase(
  transaction: Transaction,
  anomalyId: string,
  standing: CaseStanding,
  lastReviewId: number,
): Promise<void> {
  await transaction.query(
    `update anomaly set case_state = $2, assignee_id = $3, judged = $4, last_review_id = $5 where anomaly_id = $1`,
    [anomalyId, standing.state, standing.assigneeId, standing.judged, lastReviewId],
  );
}
