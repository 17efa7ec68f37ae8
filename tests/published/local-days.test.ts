/**
 * Windows of local days against a foreign zone table: days of 23, 25 and 24.5 hours, and days whose midnight does not exist.
 *
 * Source: IANA tzdata 2026f, read with Python's zoneinfo from the system's tables, apart from the runtime under test. Zones whose
 * rules changed between tzdata 2025c and 2026f (America/Vancouver, Africa/Casablanca) are left out: a runtime may carry either.
 */
import { dayWindow } from '@gearhold/operations/day';
import { expect, test } from 'vitest';

const hour = 3_600_000;

test.each([
  ['America/New_York', '2026-03-08', '2026-03-08T05:00Z', '2026-03-09T04:00Z', 23],
  ['America/New_York', '2026-11-01', '2026-11-01T04:00Z', '2026-11-02T05:00Z', 25],
  ['America/Chicago', '2026-03-08', '2026-03-08T06:00Z', '2026-03-09T05:00Z', 23],
  ['America/Chicago', '2026-11-01', '2026-11-01T05:00Z', '2026-11-02T06:00Z', 25],
  ['America/Denver', '2026-03-08', '2026-03-08T07:00Z', '2026-03-09T06:00Z', 23],
  ['America/Denver', '2026-11-01', '2026-11-01T06:00Z', '2026-11-02T07:00Z', 25],
  ['America/Los_Angeles', '2026-03-08', '2026-03-08T08:00Z', '2026-03-09T07:00Z', 23],
  ['America/Phoenix', '2026-03-08', '2026-03-08T07:00Z', '2026-03-09T07:00Z', 24],
  ['Europe/Berlin', '2026-03-29', '2026-03-28T23:00Z', '2026-03-29T22:00Z', 23],
  ['Europe/Berlin', '2026-10-25', '2026-10-24T22:00Z', '2026-10-25T23:00Z', 25],
  ['America/Santiago', '2026-09-06', '2026-09-06T04:00Z', '2026-09-07T03:00Z', 23],
])('%s %s', (zone, day, start, end, hours) => {
  const window = dayWindow(day, zone);
  expect([window.startMs, window.endMs]).toEqual([Date.parse(start), Date.parse(end)]);
  expect(window.endMs - window.startMs).toBe(hours * hour);
});

test.each([
  ['America/Havana', '2026-03-08', 23],
  ['Asia/Beirut', '2026-03-29', 23],
  ['Australia/Lord_Howe', '2026-04-05', 24.5],
  ['Australia/Lord_Howe', '2026-10-04', 23.5],
])('%s %s lasts %d hours', (zone, day, hours) => {
  const window = dayWindow(day, zone);
  expect(window.endMs - window.startMs).toBe(hours * hour);
});
