import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { daysFromEpoch, daysInMonth, parseRfc3339 } from './rfc3339.ts';

const parse = (text: string) => {
  const bytes = Buffer.from(text);
  return parseRfc3339(bytes, 0, bytes.length);
};

describe('parseRfc3339', () => {
  it('agrees with the calendar of the runtime on every instant it can write', () => {
    const first = Date.UTC(1, 0, 1) - 1899 * 31_556_952_000;
    fc.assert(
      fc.property(fc.integer({ min: first, max: Date.UTC(9999, 11, 31) }), (ms) => {
        expect(parse(new Date(ms).toISOString())).toBe(ms);
      }),
      { numRuns: 2000 },
    );
  });

  it('takes the offset off, and -00:00 for UTC', () => {
    expect(parse('1996-12-19T16:39:57-08:00')).toBe(Date.parse('1996-12-20T00:39:57Z'));
    expect(parse('1937-01-01T12:00:27.87+00:20')).toBe(Date.parse('1937-01-01T11:40:27.870Z'));
    expect(parse('2026-03-02T00:00:00-00:00')).toBe(Date.UTC(2026, 2, 2));
  });

  it('keeps fractions of any length as far as a double does', () => {
    expect(parse('2026-03-02T06:11:40.1Z') % 1000).toBe(100);
    expect(parse('2026-03-02T06:11:40.123456Z') % 1000).toBeCloseTo(123.456, 3);
    expect(parse(`2026-03-02T06:11:40.5${'0'.repeat(500)}9Z`) % 1000).toBe(500);
  });

  it('accepts small letters and a space for T, as the standard lets it', () => {
    const ms = Date.UTC(2026, 2, 2, 6, 11, 40);
    for (const text of ['2026-03-02t06:11:40z', '2026-03-02 06:11:40Z']) expect(parse(text)).toBe(ms);
  });

  it('takes a leap second only at the end of a June or December in UTC, as the second after it', () => {
    expect(parse('1990-12-31T23:59:60Z')).toBe(Date.UTC(1991, 0, 1));
    expect(parse('1990-12-31T15:59:60-08:00')).toBe(Date.UTC(1991, 0, 1));
    expect(parse('2015-06-30T23:59:60.5Z')).toBe(Date.UTC(2015, 6, 1) + 500);
    for (const text of [
      '2026-03-02T23:59:60Z',
      '2026-03-31T23:59:60Z',
      '1990-12-31T23:58:60Z',
      '1990-12-31T23:59:60-08:00',
    ]) {
      expect(parse(text)).toBeNaN();
    }
  });

  it('refuses what is not in the form or not in the calendar', () => {
    const none = [
      '',
      '2026-03-02',
      '2026-03-02T06:11:40',
      '2026-03-02T06:11Z',
      '2026-3-02T06:11:40Z',
      '2026-02-29T00:00:00Z',
      '1900-02-29T00:00:00Z',
      '2026-04-31T00:00:00Z',
      '2026-00-10T00:00:00Z',
      '2026-13-10T00:00:00Z',
      '2026-03-00T00:00:00Z',
      '2026-03-02T24:00:00Z',
      '2026-03-02T06:60:00Z',
      '2026-03-02T06:11:61Z',
      '2026-03-02T06:11:40.Z',
      '2026-03-02T06:11:40,5Z',
      '2026-03-02T06:11:40+0100',
      '2026-03-02T06:11:40+24:00',
      '2026-03-02T06:11:40+01:60',
      '2026-03-02T06:11:40Z ',
      ' 2026-03-02T06:11:40Z',
      '2026-03-02\u000006:11:40Z',
      '2026-03-02T06:11:40ZZ',
      '20260302T061140Z.....',
      '+026-03-02T06:11:40Z',
    ];
    for (const text of none) expect([text, parse(text)]).toEqual([text, Number.NaN]);
  });
});

describe('daysFromEpoch', () => {
  it('counts days without a break from year 0 to 9999', () => {
    let expected = daysFromEpoch(0, 1, 1);
    expect(daysFromEpoch(1970, 1, 1)).toBe(0);
    for (let year = 0; year < 10_000; year++) {
      for (let month = 1; month <= 12; month++) {
        if (daysFromEpoch(year, month, 1) !== expected) expect([year, month]).toEqual([]);
        expected += daysInMonth(year, month);
      }
    }
    expect(daysFromEpoch(10_000, 1, 1)).toBe(expected);
  });
});
