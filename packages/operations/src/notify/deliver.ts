/** Delivers what is due: signs it, posts it, and notes what came of it. One program at a time does so. */
import { dueDeliveries, type Engine, noteAttempt, webhookById } from '@gearhold/store';
import type { Allowed } from './addresses.ts';
import { waitAfter } from './backoff.ts';
import { post } from './post.ts';
import { signedHeaders } from './signature.ts';

export interface DeliverOptions {
  readonly allowed: Allowed;
  readonly nowMs: () => number;
  /** 0 to 1, to spread tries in time. */
  readonly chance: () => number;
}

const atOnce = 20;

/** Tries everything that is due, a batch at a time; gives how many were tried. */
export async function deliverDue(store: Engine, options: DeliverOptions): Promise<number> {
  const lock = await store.tryLock('notify');
  if (lock === null) return 0;
  try {
    let tried = 0;
    while (!lock.lost.aborted) {
      const due = await dueDeliveries(store, options.nowMs(), atOnce);
      if (due.length === 0) break;
      await Promise.all(due.map((delivery) => deliverOne(store, delivery, options)));
      tried += due.length;
    }
    return tried;
  } finally {
    await lock.release();
  }
}

async function deliverOne(
  store: Engine,
  delivery: Awaited<ReturnType<typeof dueDeliveries>>[number],
  { allowed, nowMs, chance }: DeliverOptions,
): Promise<void> {
  const webhook = await webhookById(store, delivery.webhookId);
  if (webhook === null) return;
  const secrets = webhook.secrets.map(({ secret }) => secret);
  const headers = signedHeaders(secrets, delivery.eventId, nowMs(), delivery.body);
  const { status, failure } = await post(webhook.url, headers, delivery.body, allowed);
  const wait = failure === null ? null : waitAfter(delivery.attempts + 1, chance());
  const nextAttemptMs = wait === null ? null : nowMs() + wait;
  await noteAttempt(store, delivery.deliveryId, { status, failure, nextAttemptMs }, nowMs());
}
