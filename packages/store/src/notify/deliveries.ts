/** What is to be delivered to webhooks: at least once each, under one event id, tried again until it is given up. */
import type { Statements } from '../engine/engine.ts';
import { instant, instantOrNull } from '../engine/values.ts';

export type DeliveryState = 'waiting' | 'delivered' | 'given-up';

export interface Delivery {
  readonly deliveryId: number;
  readonly webhookId: string;
  readonly eventId: string;
  readonly type: string;
  /** JSON text, the same at every try. */
  readonly body: string;
  readonly state: DeliveryState;
  readonly attempts: number;
  readonly nextAttemptMs: number | null;
  readonly lastStatus: number | null;
  readonly lastFailure: string | null;
  readonly createdMs: number;
  readonly deliveredMs: number | null;
}

const columns = `delivery_id as "deliveryId", webhook_id as "webhookId", event_id as "eventId", type, body, state, attempts,
  next_attempt as "nextAttemptMs", last_status as "lastStatus", last_failure as "lastFailure",
  created_at as "createdMs", delivered_at as "deliveredMs"`;

export interface NewDelivery {
  readonly webhookId: string;
  readonly eventId: string;
  readonly type: string;
  readonly body: string;
}

/** Puts an event in the queue of a webhook; one that stands there already stays as it is. */
export async function queueDelivery(store: Statements, delivery: NewDelivery, nowMs: number): Promise<void> {
  await store.query(
    `insert into delivery (webhook_id, event_id, type, body, state, next_attempt, created_at)
     values ($1, $2, $3, $4, 'waiting', $5, $5)
     on conflict (webhook_id, event_id) do nothing`,
    [delivery.webhookId, delivery.eventId, delivery.type, delivery.body, instant(nowMs)],
  );
}

/** Deliveries that are due and whose webhook is not paused, the longest due first. */
export function dueDeliveries(store: Statements, nowMs: number, limit: number): Promise<Delivery[]> {
  return store.query<Delivery>(
    `select ${columns} from delivery
     where state = 'waiting' and next_attempt <= $1
       and webhook_id in (select webhook_id from webhook where not paused and removed_at is null)
     order by next_attempt, delivery_id limit $2`,
    [instant(nowMs), limit],
  );
}

/** How many wait. */
export async function countWaiting(store: Statements): Promise<number> {
  const [row] = await store.query<{ count: number }>(
    `select count(*)::int as count from delivery where state = 'waiting'`,
  );
  return row!.count;
}

export interface Attempt {
  readonly status: number | null;
  /** null: delivered. */
  readonly failure: string | null;
  /** When to try again; null after a failure: given up. */
  readonly nextAttemptMs: number | null;
}

/** What came of a try. */
export async function noteAttempt(
  store: Statements,
  deliveryId: number,
  attempt: Attempt,
  nowMs: number,
): Promise<void> {
  const state = attempt.failure === null ? 'delivered' : attempt.nextAttemptMs === null ? 'given-up' : 'waiting';
  await store.query(
    `update delivery set state = $2, attempts = attempts + 1, next_attempt = $3, last_status = $4, last_failure = $5,
       delivered_at = $6
     where delivery_id = $1 and state = 'waiting'`,
    [
      deliveryId,
      state,
      instantOrNull(state === 'waiting' ? attempt.nextAttemptMs : null),
      attempt.status,
      attempt.failure,
      instantOrNull(state === 'delivered' ? nowMs : null),
    ],
  );
}

/** Deliveries of a webhook, the newest first, from before one on. */
export function deliveriesOf(
  store: Statements,
  webhookId: string,
  state: DeliveryState | null,
  beforeId: number | null,
  limit: number,
): Promise<Delivery[]> {
  return store.query<Delivery>(
    `select ${columns} from delivery
     where webhook_id = $1 and ($2::text is null or state = $2) and ($3::bigint is null or delivery_id < $3)
     order by delivery_id desc limit $4`,
    [webhookId, state, beforeId, limit],
  );
}

/** Has a delivery tried again at once, whatever became of it; null where there is none. */
export async function resendDelivery(
  store: Statements,
  webhookId: string,
  deliveryId: number,
  nowMs: number,
): Promise<Delivery | null> {
  const rows = await store.query<Delivery>(
    `update delivery set state = 'waiting', next_attempt = $3, delivered_at = null
     where webhook_id = $1 and delivery_id = $2 returning ${columns}`,
    [webhookId, deliveryId, instant(nowMs)],
  );
  return rows[0] ?? null;
}
