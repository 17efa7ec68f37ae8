/** Webhooks, their deliveries, and the feed of everything that changed. */
import { z } from 'zod';
import { cursor, limit, pageOf, time, wholeListOf } from './parts.ts';

export const webhookFilter = z
  .strictObject({
    terminals: z.array(z.string().min(1).max(64)).max(200).nullable().default(null),
    concerns: z
      .array(z.enum(['driver', 'yard', 'shop', 'unclear']))
      .max(4)
      .nullable()
      .default(null),
    urgencies: z
      .array(z.enum(['urgent', 'today', 'routine']))
      .max(3)
      .nullable()
      .default(null),
    checks: z.array(z.string().min(1).max(60)).max(50).nullable().default(null),
  })
  .meta({ id: 'WebhookFilter', description: 'null: all' });

const url = z
  .url({ protocol: /^https?$/ })
  .max(2000)
  .meta({ description: 'http or https; never a private or loopback address unless the service allows it' });

export const newWebhook = z
  .strictObject({
    name: z.string().trim().min(1).max(100),
    url,
    filter: webhookFilter.prefault({}),
    driverIds: z.boolean().default(false).meta({ description: 'Whether events carry driver ids' }),
  })
  .meta({ id: 'NewWebhook' });

export const webhookChange = z
  .strictObject({
    name: newWebhook.shape.name.optional(),
    url: url.optional(),
    filter: webhookFilter.optional(),
    paused: z.boolean().optional(),
  })
  .meta({ id: 'WebhookChange' });

export const webhook = z
  .object({
    webhookId: z.string(),
    name: z.string(),
    url: z.string(),
    filter: webhookFilter,
    driverIds: z.boolean(),
    paused: z.boolean(),
    secrets: z.array(z.object({ secretId: z.string(), createdTime: time })).meta({
      description: 'Two may live at once, so that one can be changed; each delivery carries a signature by each',
    }),
    createdTime: time,
  })
  .meta({ id: 'Webhook' });
export const webhookPage = wholeListOf('WebhookPage', webhook);
export const issuedWebhook = z
  .object({ webhook, secret: z.string().meta({ description: 'Shown this once' }) })
  .meta({ id: 'IssuedWebhook' });

export const delivery = z
  .object({
    deliveryId: z.string(),
    webhookId: z.string(),
    eventId: z.string().meta({ description: 'Stable: the same at every try' }),
    type: z.string(),
    state: z.enum(['waiting', 'delivered', 'given-up']),
    attempts: z.int().min(0),
    nextAttemptTime: time.nullable(),
    lastStatus: z.int().nullable(),
    lastFailure: z.string().nullable(),
    createdTime: time,
    deliveredTime: time.nullable(),
  })
  .meta({ id: 'Delivery' });
export const deliveryPage = pageOf('DeliveryPage', delivery);
export const deliveryQuery = z.strictObject({
  state: z.enum(['waiting', 'delivered', 'given-up', 'any']).default('any'),
  limit: limit.default(100),
  cursor: cursor.optional(),
});

/** What a webhook receives. */
export const event = z
  .object({
    eventId: z.string(),
    type: z.string().meta({ description: 'anomaly.new, anomaly.changed, anomaly.withdrawn, test. The list is open' }),
    time,
    anomaly: z.record(z.string(), z.unknown()).nullable(),
  })
  .meta({ id: 'Event' });

export const change = z
  .object({
    position: z.string(),
    time,
    subject: z
      .string()
      .meta({ description: 'episode, anomaly, driver, vehicle, site, policy, digest. The list is open' }),
    id: z.string(),
    change: z.string().meta({ description: 'new, corrected, withdrawn, reviewed, erased. The list is open' }),
  })
  .meta({ id: 'Change' });
export const changeFeed = z
  .object({
    items: z.array(change),
    nextAfter: z.string().meta({ description: 'Ask again with this; it stays the same while nothing changed' }),
  })
  .meta({ id: 'ChangeFeed' });
export const changeQuery = z.strictObject({
  after: z.string().min(1).max(100).optional(),
  limit: limit.default(500),
});

export const digest = z
  .object({
    digestId: z.string(),
    day: z.iso.date(),
    recipient: z.string(),
    state: z.string(),
    messageId: z.string(),
    attempts: z.int().min(0),
    sentTime: time.nullable(),
    failure: z.string().nullable(),
  })
  .meta({ id: 'Digest' });
export const digestPage = pageOf('DigestPage', digest);
