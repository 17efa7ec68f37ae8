/** Webhooks: where anomalies are told to, by which filter, and with which secrets they are signed. */
import type { Statements } from '../engine/engine.ts';
import { instant } from '../engine/values.ts';

export interface WebhookSecret {
  readonly secretId: string;
  readonly secret: string;
  readonly createdMs: number;
}

export interface Webhook {
  readonly webhookId: string;
  readonly name: string;
  readonly url: string;
  /** JSON text. */
  readonly filter: string;
  readonly driverIds: boolean;
  /** Terminals of whoever made it: it never tells more than that one may see; null: all. */
  readonly terminals: readonly string[] | null;
  readonly paused: boolean;
  readonly createdMs: number;
  /** The newest first. */
  readonly secrets: readonly WebhookSecret[];
}

type Row = Omit<Webhook, 'secrets'>;

const columns = `webhook_id as "webhookId", name, url, filter, driver_ids as "driverIds", terminals, paused,
  created_at as "createdMs"`;

export async function addWebhook(store: Statements, webhook: Row): Promise<void> {
  await store.query(
    `insert into webhook (webhook_id, name, url, filter, driver_ids, terminals, paused, created_at)
     values ($1, $2, $3, $4, $5, $6, $7, $8)`,
    [
      webhook.webhookId,
      webhook.name,
      webhook.url,
      webhook.filter,
      webhook.driverIds,
      webhook.terminals,
      webhook.paused,
      instant(webhook.createdMs),
    ],
  );
}

/** Webhooks that were not removed, by id. */
export async function webhooks(store: Statements): Promise<Webhook[]> {
  return withSecrets(
    store,
    await store.query<Row>(`select ${columns} from webhook where removed_at is null order by created_at, webhook_id`),
  );
}

export async function webhookById(store: Statements, webhookId: string): Promise<Webhook | null> {
  const rows = await store.query<Row>(`select ${columns} from webhook where webhook_id = $1 and removed_at is null`, [
    webhookId,
  ]);
  const [found] = await withSecrets(store, rows);
  return found ?? null;
}

export interface WebhookChange {
  readonly name?: string | undefined;
  readonly url?: string | undefined;
  readonly filter?: string | undefined;
  readonly paused?: boolean | undefined;
}

/** Changes what is given; false where there is no such webhook. */
export async function changeWebhook(store: Statements, webhookId: string, change: WebhookChange): Promise<boolean> {
  const rows = await store.query(
    `update webhook set name = coalesce($2, name), url = coalesce($3, url), filter = coalesce($4::json, filter),
       paused = coalesce($5, paused)
     where webhook_id = $1 and removed_at is null returning webhook_id`,
    [webhookId, change.name ?? null, change.url ?? null, change.filter ?? null, change.paused ?? null],
  );
  return rows.length > 0;
}

/** Removes a webhook: what waits for it is given up. */
export async function removeWebhook(store: Statements, webhookId: string, nowMs: number): Promise<boolean> {
  const rows = await store.query(
    'update webhook set removed_at = $2 where webhook_id = $1 and removed_at is null returning webhook_id',
    [webhookId, instant(nowMs)],
  );
  await store.query(
    `update delivery set state = 'given-up', next_attempt = null, last_failure = 'the webhook was removed'
     where webhook_id = $1 and state = 'waiting'`,
    [webhookId],
  );
  return rows.length > 0;
}

export async function addSecret(store: Statements, webhookId: string, secret: WebhookSecret): Promise<void> {
  await store.query('insert into webhook_secret (secret_id, webhook_id, secret, created_at) values ($1, $2, $3, $4)', [
    secret.secretId,
    webhookId,
    secret.secret,
    instant(secret.createdMs),
  ]);
}

export async function removeSecret(store: Statements, webhookId: string, secretId: string): Promise<boolean> {
  const rows = await store.query(
    'delete from webhook_secret where webhook_id = $1 and secret_id = $2 returning secret_id',
    [webhookId, secretId],
  );
  return rows.length > 0;
}

async function withSecrets(store: Statements, rows: readonly Row[]): Promise<Webhook[]> {
  if (rows.length === 0) return [];
  const secrets = await store.query<WebhookSecret & { webhookId: string }>(
    `select webhook_id as "webhookId", secret_id as "secretId", secret, created_at as "createdMs"
     from webhook_secret where webhook_id = any ($1::text[]) order by created_at desc, secret_id`,
    [rows.map(({ webhookId }) => webhookId)],
  );
  const byWebhook = Map.groupBy(secrets, ({ webhookId }) => webhookId);
  return rows.map((row) => ({
    ...row,
    secrets: (byWebhook.get(row.webhookId) ?? []).map(({ webhookId: _, ...secret }) => secret),
  }));
}
