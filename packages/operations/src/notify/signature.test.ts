import { createHmac, randomBytes, timingSafeEqual } from 'node:crypto';
import { expect, it } from 'vitest';
import { signedHeaders } from './signature.ts';

const secret = () => `whsec_${randomBytes(24).toString('base64')}`;

/** As a receiver checks it, written from the specification. */
function accepts(known: string, headers: Readonly<Record<string, string>>, body: string): boolean {
  const key = Buffer.from(known.replace('whsec_', ''), 'base64');
  const content = `${headers['webhook-id']}.${headers['webhook-timestamp']}.${body}`;
  const expected = createHmac('sha256', key).update(content).digest();
  return headers['webhook-signature']!.split(' ').some((one) => {
    const given = Buffer.from(one.slice(3), 'base64');
    return one.startsWith('v1,') && given.length === expected.length && timingSafeEqual(given, expected);
  });
}

it('is accepted by a receiver that knows either of two live secrets, and by no other', () => {
  const [old, fresh] = [secret(), secret()];
  const headers = signedHeaders([fresh, old], 'evt-1', 1_772_431_200_500, '{"a":1}');
  expect(headers['webhook-timestamp']).toBe('1772431200');
  expect(accepts(old, headers, '{"a":1}')).toBe(true);
  expect(accepts(fresh, headers, '{"a":1}')).toBe(true);
  expect(accepts(secret(), headers, '{"a":1}')).toBe(false);
  expect(accepts(old, headers, '{"a":2}')).toBe(false);
  expect(accepts(old, { ...headers, 'webhook-timestamp': '1772431201' }, '{"a":1}')).toBe(false);
});
