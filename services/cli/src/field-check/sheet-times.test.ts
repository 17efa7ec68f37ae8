import { describe, expect, it } from 'vitest';
import { RowClock } from './sheet-times.ts';

const chicago = (date = '2026-03-02') => new RowClock(date, 'America/Chicago');
const utc = (text: string) => Date.parse(text);

describe('RowClock', () => {
  it('reads a time of day on the date and in the zone of the row, as watches and spreadsheets write it', () => {
    expect(chicago().read('06:14:05', true)).toBe(utc('2026-03-02T12:14:05Z'));
    expect(chicago().read('6:14:05.25', true)).toBe(utc('2026-03-02T12:14:05.250Z'));
    expect(chicago().read('12:00:05 AM', true)).toBe(utc('2026-03-02T06:00:05Z'));
    expect(chicago().read('1:14:05 p.m.', true)).toBe(utc('2026-03-02T19:14:05Z'));
    expect(new RowClock('2026-03-02', '-06:00').read('06:14:05', true)).toBe(utc('2026-03-02T12:14:05Z'));
  });

  it('reads an RFC 3339 time without date or zone', () => {
    expect(new RowClock('', '').read('2026-03-02T06:14:05-06:00', true)).toBe(utc('2026-03-02T12:14:05Z'));
  });

  it('takes a later time past midnight for the next day, and an earlier one for the day before', () => {
    const late = chicago();
    expect(late.read('23:58:00', true)).toBe(utc('2026-03-03T05:58:00Z'));
    expect(late.read('00:03:00', true)).toBe(utc('2026-03-03T06:03:00Z'));
    const early = chicago();
    early.read('00:03:00', true);
    expect(early.read('23:58:00', true)).toBe(utc('2026-03-02T05:58:00Z'));
  });

  it('takes no stopwatch time to the minute, but the ends of a watch', () => {
    expect(chicago().read('06:14', true)).toMatch(/^expected seconds too/);
    expect(chicago().read('06:14', false)).toBe(utc('2026-03-02T12:14:00Z'));
  });

  it('says what is lacking or cannot be', () => {
    expect(chicago('').read('06:14:05', true)).toMatch(/needs the row's date/);
    expect(new RowClock('2026-03-02', '').read('06:14:05', true)).toMatch(/needs the row's zone/);
    expect(chicago().read('25:00:00', true)).toMatch(/no such time of day/);
    expect(chicago().read('13:00:00 pm', true)).toMatch(/no such time of day/);
    expect(chicago().read('quarter past', true)).toMatch(/^expected a time of day/);
    expect(chicago('2026-03-08').read('02:30:00', true)).toMatch(/skip that time/);
    expect(chicago('2026-11-01').read('01:30:00', true)).toMatch(/show that time twice/);
  });
});
