/** An anomaly with its case as a caller may see it. */

import type { Principal } from '@gearhold/http';
import { changedSince, judgedFingerprint } from '@gearhold/operations/cases';
import type { judgedCheck } from '@gearhold/schemas/api';
import type { FoundAnomaly, StoredReview } from '@gearhold/store';
import type { z } from 'zod';
import { iso } from '../access/wire.ts';
import { wireTerminals } from './episode.ts';

type ReasonParts = z.output<typeof judgedCheck>['reasonParts'];
type Action = 'confirm' | 'dismiss' | 'hand-to-yard' | 'hand-to-shop' | 'assign' | 'note' | 'close' | 'undo';
type State = 'open' | 'confirmed' | 'dismissed' | 'with-yard' | 'with-shop' | 'closed';

/** @param undone ids of the reviews that later ones took back */
export function wireReview(review: StoredReview, undone: ReadonlySet<number> = new Set()) {
  return {
    reviewId: String(review.reviewId),
    anomalyId: review.anomalyId,
    action: review.action as Action,
    reason: review.reason,
    note: review.note,
    assigneeId: review.assigneeId,
    time: iso(review.atMs),
    by: { kind: review.byKind, id: review.byId, name: review.byName },
    undone: undone.has(review.reviewId),
  };
}

export function wireAnomaly(
  found: FoundAnomaly,
  lastReview: StoredReview | null,
  principal: Pick<Principal, 'driverNames'>,
) {
  const { check } = found;
  return {
    episodeId: found.episodeId,
    loadTransferTime: iso(found.loadTransferMs),
    vehicleId: found.vehicleId,
    driverId: principal.driverNames ? found.driverId : null,
    siteId: found.siteId,
    check: check.check,
    outcome: check.outcome,
    measured: check.measured,
    limit: check.limit,
    window: check.window,
    concern: check.concern,
    urgency: check.urgency,
    reason: check.reason,
    reasonParts: check.reasonParts as ReasonParts,
    anomalyId: found.anomalyId,
    kind: found.kind,
    confidence: found.confidence,
    severity: found.severity,
    terminals: wireTerminals(found),
    withdrawn: found.withdrawn,
    arrivedLate: found.arrivedLate,
    firstSeenTime: iso(found.firstSeenMs),
    state: found.caseState as State,
    assigneeId: found.assigneeId,
    changedSinceReview: changedSince(found, judgedFingerprint({ ...check, withdrawn: found.withdrawn })),
    lastReview: lastReview === null ? null : wireReview(lastReview),
  };
}

export type WireAnomaly = ReturnType<typeof wireAnomaly>;

type Cell = string | number | boolean | null;

/** Columns of the CSV form, in its order. */
export const anomalyColumns: Readonly<Record<string, (item: WireAnomaly) => Cell>> = {
  anomalyId: (item) => item.anomalyId,
  loadTransferTime: (item) => item.loadTransferTime,
  kind: (item) => item.kind,
  vehicleId: (item) => item.vehicleId,
  driverId: (item) => item.driverId,
  siteId: (item) => item.siteId,
  check: (item) => item.check,
  value: (item) => item.measured?.value ?? null,
  low: (item) => item.measured?.low ?? null,
  high: (item) => item.measured?.high ?? null,
  unit: (item) => item.measured?.unit ?? null,
  limit: (item) => JSON.stringify(item.limit),
  reason: (item) => item.reason,
  concern: (item) => item.concern,
  urgency: (item) => item.urgency,
  confidence: (item) => item.confidence,
  state: (item) => item.state,
  withdrawn: (item) => item.withdrawn,
  arrivedLate: (item) => item.arrivedLate,
  firstSeenTime: (item) => item.firstSeenTime,
};
