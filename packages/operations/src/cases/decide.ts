/**
 * A decision on one or several anomalies at once: all of it, or none. What was judged is kept with it, so that a later change of
 * the data can be told.
 */
import {
  addReview,
  type Engine,
  type FoundAnomaly,
  findAnomalies,
  lockAnomalies,
  noteAudit,
  noteChanges,
  putCase,
  reviewsOf,
  type StoredReview,
} from '@gearhold/store';
import { type CaseStep, caseOf, type ReviewAction } from './case.ts';
import { judgedFingerprint } from './judged.ts';

export interface Decision {
  readonly anomalyIds: readonly string[];
  readonly action: ReviewAction;
  readonly reason?: string | undefined;
  readonly note?: string | undefined;
  readonly assigneeId?: string | null | undefined;
}

export interface Decider {
  readonly kind: 'token' | 'person';
  readonly id: string;
  readonly name: string;
  /** Terminals whose matters may be seen; null: all. */
  readonly terminals: readonly string[] | null;
}

/** Why nothing was decided. */
export class DecisionRefused extends Error {
  readonly reason: 'unknown' | 'nothing-to-undo';
  readonly anomalyId: string;

  constructor(reason: DecisionRefused['reason'], anomalyId: string) {
    super(reason === 'unknown' ? `there is no anomaly ${anomalyId}` : `anomaly ${anomalyId} has no review to undo`);
    this.name = 'DecisionRefused';
    this.reason = reason;
    this.anomalyId = anomalyId;
  }
}

export interface Decided {
  readonly anomaly: FoundAnomaly;
  readonly review: StoredReview;
}

/** @throws DecisionRefused where an anomaly is unknown or of another terminal, or has nothing to undo */
export async function decide(store: Engine, decision: Decision, by: Decider, nowMs: number): Promise<Decided[]> {
  const ids = [...new Set(decision.anomalyIds)].sort();
  return store.transaction(async (transaction) => {
    await lockAnomalies(transaction, ids);
    const filter = { anomalyIds: ids, visibleTo: by.terminals };
    const before = new Map(
      (await findAnomalies(transaction, filter, 'time', ids.length, null)).map((a) => [a.anomalyId, a]),
    );
    const made = Map.groupBy(await reviewsOf(transaction, ids), ({ anomalyId }) => anomalyId);
    const reviews: StoredReview[] = [];
    for (const anomalyId of ids) {
      const anomaly = before.get(anomalyId);
      if (anomaly === undefined) throw new DecisionRefused('unknown', anomalyId);
      const earlier = (made.get(anomalyId) ?? []).map(stepOf);
      const undoes = decision.action === 'undo' ? caseOf(earlier).undoable : null;
      if (decision.action === 'undo' && undoes === null) throw new DecisionRefused('nothing-to-undo', anomalyId);
      const review = await addReview(transaction, {
        anomalyId,
        action: decision.action,
        reason: decision.reason ?? null,
        note: decision.note ?? null,
        assigneeId: decision.assigneeId ?? null,
        atMs: nowMs,
        byKind: by.kind,
        byId: by.id,
        byName: by.name,
        undoes,
        judged: judgedFingerprint({ ...anomaly.check, withdrawn: anomaly.withdrawn }),
      });
      await putCase(transaction, anomalyId, caseOf([...earlier, stepOf(review)]), review.reviewId);
      await noteAudit(transaction, nowMs, by, 'review', `anomaly/${anomalyId}`, { action: decision.action });
      reviews.push(review);
    }
    const after = new Map(
      (await findAnomalies(transaction, filter, 'time', ids.length, null)).map((a) => [a.anomalyId, a]),
    );
    await noteChanges(
      transaction,
      ids.map((subjectId) => ({ subject: 'anomaly', subjectId, change: 'reviewed', revision: 0 })),
      nowMs,
    );
    return reviews.map((review) => ({ anomaly: after.get(review.anomalyId)!, review }));
  });
}

function stepOf({ reviewId, action, assigneeId, undoes, judged }: StoredReview): CaseStep {
  return { reviewId, action: action as ReviewAction, assigneeId, undoes, judged };
}
