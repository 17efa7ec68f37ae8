/**
 * Signatures of what a webhook receives: HMAC-SHA-256 over id, time and body, one by each live secret, so that a secret can be
 * changed without losing an event. Layout and headers follow the Standard Webhooks specification, version 1.
 *
 *     webhook-id: EVENT-ID
 *     webhook-timestamp: SECONDS
 *     webhook-signature: v1,BASE64 v1,BASE64
 */
import { createHmac } from 'node:crypto';

export const secretPrefix = 'whsec_';

export interface SignedHeaders extends Readonly<Record<string, string>> {
  readonly 'webhook-id': string;
  readonly 'webhook-timestamp': string;
  readonly 'webhook-signature': string;
}

/**
 * @param secrets `whsec_` and base64 of the key, the newest first
 * @param timeMs of this attempt, ms since the epoch
 */
export function signedHeaders(
  secrets: readonly string[],
  eventId: string,
  timeMs: number,
  body: string,
): SignedHeaders {
  const seconds = String(Math.floor(timeMs / 1000));
  const signatures = secrets.map((secret) => {
    const key = Buffer.from(secret.slice(secretPrefix.length), 'base64');
    return `v1,${createHmac('sha256', key).update(`${eventId}.${seconds}.${body}`).digest('base64')}`;
  });
  return { 'webhook-id': eventId, 'webhook-timestamp': seconds, 'webhook-signature': signatures.join(' ') };
}
