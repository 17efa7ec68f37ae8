/**
 * From the feed of changes to the queues of the webhooks: every change of an anomaly becomes one event for each webhook whose
 * filter it passes. The position in the feed moves on in the same transaction, so that a crash neither loses an event nor makes two.
 * What is older than 24 h on arrival is told to nobody.
 */
import {
  type Change,
  changesAfter,
  type Engine,
  type FoundAnomaly,
  findAnomalies,
  lastChange,
  queueDelivery,
  readSetting,
  type Transaction,
  type Webhook,
  webhooks,
  writeSetting,
} from '@gearhold/store';

const positionSetting = 'notify-position';
const batch = 200;

export interface WebhookFilter {
  readonly terminals: readonly string[] | null;
  readonly concerns: readonly string[] | null;
  readonly urgencies: readonly string[] | null;
  readonly checks: readonly string[] | null;
}

/** How an anomaly stands in an event; `driverIds` as the webhook may know them. */
export type AnomalyMessage = (found: FoundAnomaly, driverIds: boolean) => Readonly<Record<string, unknown>>;

const eventTypes: Partial<Readonly<Record<Change['change'], string>>> = {
  added: 'anomaly.new',
  returned: 'anomaly.new',
  changed: 'anomaly.changed',
  withdrawn: 'anomaly.withdrawn',
  reviewed: 'anomaly.reviewed',
};

/** Queues what changed since the last time; gives whether there may be more. */
export async function fanOut(store: Engine, message: AnomalyMessage, nowMs: number): Promise<boolean> {
  return store.transaction(async (transaction) => {
    await transaction.query(`select pg_advisory_xact_lock(hashtextextended('gearhold notify', 0))`);
    const stored = await readSetting(transaction, positionSetting);
    if (stored === null) {
      // What was there before there was anybody to tell is history.
      await writeSetting(transaction, positionSetting, String(await lastChange(transaction)), nowMs);
      return false;
    }
    const position = Number(stored);
    const changes = await changesAfter(transaction, position, batch);
    if (changes.length === 0) return false;
    const all = await webhooks(transaction);
    if (all.length > 0) await queue(transaction, changes, all, message, nowMs);
    await writeSetting(transaction, positionSetting, String(changes.at(-1)!.changeId), nowMs);
    return changes.length === batch;
  });
}

async function queue(
  transaction: Transaction,
  changes: readonly Change[],
  all: readonly Webhook[],
  message: AnomalyMessage,
  nowMs: number,
): Promise<void> {
  const ids = [...new Set(changes.flatMap(({ subject, subjectId }) => (subject === 'anomaly' ? [subjectId] : [])))];
  for (const webhook of all) {
    const filter = JSON.parse(webhook.filter) as WebhookFilter;
    // The walls of whoever made the webhook, and within them the terminals that it asks for.
    const found = await findAnomalies(
      transaction,
      { anomalyIds: ids, visibleTo: webhook.terminals },
      'time',
      batch,
      null,
    );
    const seen = new Map(found.filter((one) => passes(filter, one)).map((one) => [one.anomalyId, one]));
    for (const { changeId, subject, subjectId, change, atMs } of changes) {
      const anomaly = subject === 'anomaly' ? seen.get(subjectId) : undefined;
      const type = eventTypes[change];
      if (anomaly === undefined || type === undefined || anomaly.arrivedLate) continue;
      const eventId = `evt-${changeId}`;
      const time = new Date(atMs).toISOString();
      const body = JSON.stringify({ eventId, type, time, anomaly: message(anomaly, webhook.driverIds) });
      await queueDelivery(transaction, { webhookId: webhook.webhookId, eventId, type, body }, nowMs);
    }
  }
}

function passes(filter: WebhookFilter, anomaly: FoundAnomaly): boolean {
  const { driverTerminal, siteTerminal, vehicleTerminal, check } = anomaly;
  const among = (wanted: readonly string[] | null, values: readonly (string | null)[]) =>
    wanted === null || values.some((value) => value !== null && wanted.includes(value));
  return (
    among(filter.terminals, [driverTerminal, siteTerminal, vehicleTerminal]) &&
    among(filter.concerns, [check.concern]) &&
    among(filter.urgencies, [check.urgency]) &&
    among(filter.checks, [check.check])
  );
}
