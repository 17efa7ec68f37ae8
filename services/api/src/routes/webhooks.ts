/** Webhooks and their deliveries, for administrators. */
import { randomBytes, randomUUID } from 'node:crypto';
import { isIP } from 'node:net';
import type { Context } from '@gearhold/http';
import {
  type Api,
  about,
  nothing,
  ProblemError,
  principalOf,
  problemAnswers,
  readCursor,
  writeCursor,
} from '@gearhold/http';
import { mayReach, secretPrefix } from '@gearhold/operations/notify';
import {
  delivery as deliveryMessage,
  deliveryPage,
  deliveryQuery,
  issuedWebhook,
  newWebhook,
  webhookChange,
  webhook as webhookMessage,
  webhookPage,
} from '@gearhold/schemas/api';
import {
  addSecret,
  addWebhook,
  changeWebhook,
  type Delivery,
  deliveriesOf,
  noteAudit,
  queueDelivery,
  removeSecret,
  removeWebhook,
  resendDelivery,
  type Webhook,
  webhookById,
  webhooks,
} from '@gearhold/store';
import { z } from 'zod';
import { actorOf, iso, isoOrNull } from '../access/wire.ts';

const tags = ['Webhooks'] as const;
const byId = z.strictObject({ webhookId: z.uuid() });
const liveSecretsMax = 2;

export function addWebhookRoutes(app: Api, { store, clock, webhookAddresses }: Context): void {
  /** @throws ProblemError `not-found` */
  async function known(webhookId: string): Promise<Webhook> {
    const found = await webhookById(store, webhookId);
    if (found === null) throw new ProblemError('not-found');
    return found;
  }

  function newSecret() {
    const secret = secretPrefix + randomBytes(32).toString('base64');
    return { secretId: randomUUID(), secret, createdMs: clock.now() };
  }

  /** A name may point to a private address later: that is refused when it is connected to. */
  function refuseUnreachable(url: string): void {
    const host = new URL(url).hostname.replace(/^\[|\]$/g, '');
    if (isIP(host) !== 0 && !mayReach(host, webhookAddresses)) {
      throw new ProblemError(
        'content-unusable',
        `${host} is a private or reserved address; whoever runs the service can allow it in its configuration.`,
        { places: [{ in: 'body', pointer: '/url', detail: 'an address that may be reached' }] },
      );
    }
  }

  app.get(
    '/v1/webhooks',
    {
      config: { access: 'administer' },
      schema: {
        ...about('administer', { operationId: 'listWebhooks', tags, summary: 'Webhooks' }),
        response: { 200: webhookPage, ...problemAnswers },
      },
    },
    async () => ({ items: (await webhooks(store)).map(wireWebhook), nextCursor: null }),
  );

  app.post(
    '/v1/webhooks',
    {
      config: { access: 'administer' },
      schema: {
        ...about('administer', {
          operationId: 'addWebhook',
          tags,
          summary: 'Have anomalies told to an address',
          description:
            'Events are signed by the Standard Webhooks specification (HMAC-SHA-256 over id, time and body), delivered at least once, ' +
            'tried again for about three days, and kept. What was older than 24 h on arrival is told to nobody.',
        }),
        body: newWebhook,
        response: { 201: issuedWebhook, ...problemAnswers },
      },
    },
    async (request, reply) => {
      const { name, url, filter, driverIds } = request.body;
      refuseUnreachable(url);
      const principal = principalOf(request);
      const webhookId = randomUUID();
      const secret = newSecret();
      await store.transaction(async (transaction) => {
        await addWebhook(transaction, {
          webhookId,
          name,
          url,
          filter: JSON.stringify(filter),
          driverIds: driverIds && principal.driverNames,
          terminals: principal.terminals,
          paused: false,
          createdMs: clock.now(),
        });
        await addSecret(transaction, webhookId, secret);
        await noteAudit(transaction, clock.now(), actorOf(principal), 'add-webhook', `webhook/${webhookId}`, {
          name,
          url,
        });
      });
      reply.code(201).header('location', `/v1/webhooks/${webhookId}`);
      return { webhook: wireWebhook(await known(webhookId)), secret: secret.secret };
    },
  );

  app.get(
    '/v1/webhooks/:webhookId',
    {
      config: { access: 'administer' },
      schema: {
        ...about('administer', { operationId: 'getWebhook', tags, summary: 'One webhook' }),
        params: byId,
        response: { 200: webhookMessage, ...problemAnswers },
      },
    },
    async (request) => wireWebhook(await known(request.params.webhookId)),
  );

  app.patch(
    '/v1/webhooks/:webhookId',
    {
      config: { access: 'administer' },
      schema: {
        ...about('administer', { operationId: 'changeWebhook', tags, summary: 'Change or pause a webhook' }),
        params: byId,
        body: webhookChange,
        response: { 200: webhookMessage, ...problemAnswers },
      },
    },
    async (request) => {
      const { webhookId } = request.params;
      const { filter, url, ...rest } = request.body;
      if (url !== undefined) refuseUnreachable(url);
      const change = { ...rest, url, filter: filter && JSON.stringify(filter) };
      if (!(await changeWebhook(store, webhookId, change))) throw new ProblemError('not-found');
      const who = actorOf(principalOf(request));
      await noteAudit(store, clock.now(), who, 'change-webhook', `webhook/${webhookId}`, { ...request.body });
      return wireWebhook(await known(webhookId));
    },
  );

  app.delete(
    '/v1/webhooks/:webhookId',
    {
      config: { access: 'administer' },
      schema: {
        ...about('administer', { operationId: 'removeWebhook', tags, summary: 'Remove a webhook' }),
        params: byId,
        response: { 204: nothing, ...problemAnswers },
      },
    },
    async (request, reply) => {
      const { webhookId } = request.params;
      await store.transaction(async (transaction) => {
        if (!(await removeWebhook(transaction, webhookId, clock.now()))) throw new ProblemError('not-found');
        const who = actorOf(principalOf(request));
        await noteAudit(transaction, clock.now(), who, 'remove-webhook', `webhook/${webhookId}`);
      });
      reply.code(204);
      return undefined;
    },
  );

  app.post(
    '/v1/webhooks/:webhookId/secrets',
    {
      config: { access: 'administer' },
      schema: {
        ...about('administer', {
          operationId: 'addWebhookSecret',
          tags,
          summary: 'Add a second secret, to change the first without losing an event',
          description:
            'Every delivery carries a signature by each. Remove the old one once the receiver knows the new one.',
        }),
        params: byId,
        response: { 201: issuedWebhook, ...problemAnswers },
      },
    },
    async (request, reply) => {
      const { webhookId } = request.params;
      const secret = newSecret();
      await store.transaction(async (transaction) => {
        const found = await webhookById(transaction, webhookId);
        if (found === null) throw new ProblemError('not-found');
        if (found.secrets.length >= liveSecretsMax) {
          throw new ProblemError('state-conflict', 'Two secrets live already; remove one of them first.');
        }
        await addSecret(transaction, webhookId, secret);
        const who = actorOf(principalOf(request));
        await noteAudit(transaction, clock.now(), who, 'add-webhook-secret', `webhook/${webhookId}`);
      });
      reply.code(201);
      return { webhook: wireWebhook(await known(webhookId)), secret: secret.secret };
    },
  );

  app.delete(
    '/v1/webhooks/:webhookId/secrets/:secretId',
    {
      config: { access: 'administer' },
      schema: {
        ...about('administer', {
          operationId: 'removeWebhookSecret',
          tags,
          summary: 'Remove a secret; one must remain',
        }),
        params: byId.extend({ secretId: z.uuid() }),
        response: { 200: webhookMessage, ...problemAnswers },
      },
    },
    async (request) => {
      const { webhookId, secretId } = request.params;
      await store.transaction(async (transaction) => {
        const found = await webhookById(transaction, webhookId);
        if (found === null) throw new ProblemError('not-found');
        if (!(await removeSecret(transaction, webhookId, secretId))) throw new ProblemError('not-found');
        if (found.secrets.length < 2)
          throw new ProblemError('state-conflict', 'One secret must remain; add another first.');
        const who = actorOf(principalOf(request));
        await noteAudit(transaction, clock.now(), who, 'remove-webhook-secret', `webhook/${webhookId}`);
      });
      return wireWebhook(await known(webhookId));
    },
  );

  app.post(
    '/v1/webhooks/:webhookId/test',
    {
      config: { access: 'administer' },
      schema: {
        ...about('administer', { operationId: 'testWebhook', tags, summary: 'Send a test event' }),
        params: byId,
        response: { 202: deliveryMessage, ...problemAnswers },
      },
    },
    async (request, reply) => {
      const { webhookId } = await known(request.params.webhookId);
      const eventId = `test-${randomUUID()}`;
      const body = JSON.stringify({ eventId, type: 'test', time: iso(clock.now()), anomaly: null });
      await queueDelivery(store, { webhookId, eventId, type: 'test', body }, clock.now());
      const [queued] = await deliveriesOf(store, webhookId, null, null, 1);
      reply.code(202);
      return wireDelivery(queued!);
    },
  );

  app.get(
    '/v1/webhooks/:webhookId/deliveries',
    {
      config: { access: 'administer' },
      schema: {
        ...about('administer', {
          operationId: 'listDeliveries',
          tags,
          summary: 'Deliveries of a webhook, the newest first',
        }),
        params: byId,
        querystring: deliveryQuery,
        response: { 200: deliveryPage, ...problemAnswers },
      },
    },
    async (request) => {
      const { webhookId } = await known(request.params.webhookId);
      const { limit, cursor, state } = request.query;
      const asked = { webhookId, state };
      const before = cursor === undefined ? null : (readCursor(asked, cursor, ['number'])[0] as number);
      const found = await deliveriesOf(store, webhookId, state === 'any' ? null : state, before, limit + 1);
      const items = found.slice(0, limit);
      const last = items.at(-1);
      const more = found.length > limit && last !== undefined;
      return { items: items.map(wireDelivery), nextCursor: more ? writeCursor(asked, [last.deliveryId]) : null };
    },
  );

  app.post(
    '/v1/webhooks/:webhookId/deliveries/:deliveryId/resend',
    {
      config: { access: 'administer' },
      schema: {
        ...about('administer', { operationId: 'resendDelivery', tags, summary: 'Try a delivery again at once' }),
        params: byId.extend({ deliveryId: z.string().regex(/^[1-9]\d{0,14}$/) }),
        response: { 202: deliveryMessage, ...problemAnswers },
      },
    },
    async (request, reply) => {
      const { webhookId, deliveryId } = request.params;
      const again = await resendDelivery(store, webhookId, Number(deliveryId), clock.now());
      if (again === null) throw new ProblemError('not-found');
      const who = actorOf(principalOf(request));
      await noteAudit(store, clock.now(), who, 'resend-delivery', `webhook/${webhookId}`, { deliveryId });
      reply.code(202);
      return wireDelivery(again);
    },
  );
}

function wireWebhook(webhook: Webhook) {
  return {
    webhookId: webhook.webhookId,
    name: webhook.name,
    url: webhook.url,
    filter: JSON.parse(webhook.filter) as z.output<typeof webhookMessage>['filter'],
    driverIds: webhook.driverIds,
    paused: webhook.paused,
    secrets: webhook.secrets.map(({ secretId, createdMs }) => ({ secretId, createdTime: iso(createdMs) })),
    createdTime: iso(webhook.createdMs),
  };
}

function wireDelivery(delivery: Delivery) {
  return {
    deliveryId: String(delivery.deliveryId),
    webhookId: delivery.webhookId,
    eventId: delivery.eventId,
    type: delivery.type,
    state: delivery.state,
    attempts: delivery.attempts,
    nextAttemptTime: isoOrNull(delivery.nextAttemptMs),
    lastStatus: delivery.lastStatus,
    lastFailure: delivery.lastFailure,
    createdTime: iso(delivery.createdMs),
    deliveredTime: isoOrNull(delivery.deliveredMs),
  };
}
