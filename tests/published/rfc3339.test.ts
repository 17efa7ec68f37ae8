/**
 * Times of readings against the examples and the grammar of RFC 3339.
 *
 * Source: RFC 3339, section 5.8 (examples), 5.6 (grammar), 4.3 (unknown local offset) and 5.7 (days of the months, leap
 * seconds); the text was quoted from memory. Instants computed apart with Python's datetime.
 */
import { describe, expect, test } from 'vitest';
import { parseRfc3339 } from '../../packages/signals/src/cell/rfc3339.ts';

function read(text: string): number {
  // Bytes of other cells stand around it, as in a row.
  const bytes = Buffer.from(`x,${text},2`);
  return parseRfc3339(bytes, 2, 2 + Buffer.byteLength(text));
}

describe('section 5.8', () => {
  test.each([
    ['1985-04-12T23:20:50.52Z', 482_196_050_520],
    ['1996-12-19T16:39:57-08:00', 851_042_397_000],
    // A leap second is the first second of the next day, as POSIX time counts it.
    ['1990-12-31T23:59:60Z', 662_688_000_000],
    ['1990-12-31T15:59:60-08:00', 662_688_000_000],
    // The Netherlands of 1937, whose clocks stood 19 min 32.13 s ahead: the nearest offset that can be written.
    ['1937-01-01T12:00:27.87+00:20', -1_041_337_172_130],
  ])('%s', (text, instant) => {
    expect(read(text)).toBe(instant);
  });

  test('16:39:57 in the west and 00:39:57 in UTC are one instant', () => {
    expect(read('1996-12-19T16:39:57-08:00')).toBe(read('1996-12-20T00:39:57Z'));
  });
});

describe('the grammar of section 5.6', () => {
  test.each([
    ['lower case', '1985-04-12t23:20:50.52z'],
    ['a space for the T', '1985-04-12 23:20:50.52Z'],
    ['an unknown local offset (section 4.3)', '1985-04-12T23:20:50.52-00:00'],
    ['more digits of a second', '1985-04-12T23:20:50.520000000Z'],
  ])('%s is the same instant', (_, text) => {
    expect(read(text)).toBe(482_196_050_520);
  });

  test.each([
    ['no offset', '1985-04-12T23:20:50'],
    ['an offset without a colon', '1985-04-12T23:20:50+0100'],
    ['an offset of 24 h', '1985-04-12T23:20:50+24:00'],
    ['a decimal comma', '1985-04-12T23:20:50,5Z'],
    ['a point without digits', '1985-04-12T23:20:50.Z'],
    ['a date alone', '1985-04-12'],
    ['the week form of ISO 8601', '1985-W15-5T23:20:50Z'],
    ['the basic form of ISO 8601', '19850412T232050Z'],
    ['hour 24', '1985-04-12T24:00:00Z'],
    ['minute 60', '1985-04-12T23:60:00Z'],
    ['second 61', '1990-12-31T23:59:61Z'],
    ['month 13', '1985-13-12T23:20:50Z'],
    ['day 0', '1985-04-00T23:20:50Z'],
    ['something behind it', '1985-04-12T23:20:50Zulu'],
  ])('%s is refused', (_, text) => {
    expect(read(text)).toBeNaN();
  });
});

describe('section 5.7', () => {
  test.each([
    ['1985-04-31T00:00:00Z', false],
    ['1985-02-29T00:00:00Z', false],
    ['1988-02-29T00:00:00Z', true],
    ['1900-02-29T00:00:00Z', false],
    ['2000-02-29T00:00:00Z', true],
    ['1990-06-30T23:59:60Z', true],
    // No leap second can be inserted in the middle of a month or of a day.
    ['1990-12-15T23:59:60Z', false],
    ['1990-12-31T22:59:60Z', false],
  ])('%s exists: %s', (text, exists) => {
    expect(Number.isFinite(read(text))).toBe(exists);
  });
});
