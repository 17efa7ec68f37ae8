import { createHmac } from 'node:crypto';
import { expect, test } from 'vitest';
import { driversKept, pseudonymOf } from './drivers-kept.ts';

const key = new Uint8Array(32).fill(7);

test('named keeps the id, none keeps nothing', () => {
  expect(driversKept('named', null)('D-31')).toBe('D-31');
  expect(driversKept('none', null)('D-31')).toBeNull();
  expect(driversKept('pseudonym', key)(null)).toBeNull();
});

test('a pseudonym is the same for one id, another for another id and under another key, and fits an id', () => {
  const keep = driversKept('pseudonym', key);
  expect(keep('D-31')).toBe(keep('D-31'));
  expect(keep('D-31')).not.toBe(keep('D-32'));
  expect(keep('D-31')).not.toBe(driversKept('pseudonym', new Uint8Array(32).fill(8))('D-31'));
  expect(keep('D-31')).toMatch(/^P-[0-9A-HJKMNP-TV-Z]{20}$/);
});

test('its characters are the leading bits of the keyed hash, five at a time', () => {
  const digest = createHmac('sha256', key).update('D-31').digest();
  const bits = [...digest].map((byte) => byte.toString(2).padStart(8, '0')).join('');
  const letters = [...pseudonymOf('D-31', key).slice(2)];
  const values = letters.map((letter) =>
    '0123456789ABCDEFGHJKMNPQRSTVWXYZ'.indexOf(letter).toString(2).padStart(5, '0'),
  );
  expect(values.join('')).toBe(bits.slice(0, 100));
});

test('a key that is missing or short is refused', () => {
  expect(() => driversKept('pseudonym', null)).toThrow(RangeError);
  expect(() => driversKept('pseudonym', new Uint8Array(16))).toThrow(RangeError);
});
