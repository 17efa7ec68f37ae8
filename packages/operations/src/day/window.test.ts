import { expect, test } from 'vitest';
import { dayAfter, dayOf, daysFrom, dayWindow, isDay, zoneDataVersion } from './window.ts';

const hour = 3_600_000;

test('a usual day has 24 hours and says what it was computed with', () => {
  const { startMs, endMs, zoneData } = dayWindow('2026-03-02', 'America/Chicago');
  expect(new Date(startMs).toISOString()).toBe('2026-03-02T06:00:00.000Z');
  expect(endMs - startMs).toBe(24 * hour);
  expect(zoneData).toBe(zoneDataVersion);
  expect(zoneData).toMatch(/^20\d\d[a-z]$/);
});

test('days follow one another without a gap or an overlap, through a whole year of changes', () => {
  for (const zone of ['America/Chicago', 'Europe/Berlin', 'America/Santiago', 'Australia/Lord_Howe', 'UTC']) {
    const days = daysFrom('2026-01-01', '2026-12-31');
    expect(days).toHaveLength(365);
    for (const day of days) {
      const window = dayWindow(day, zone);
      expect(dayWindow(dayAfter(day), zone).startMs).toBe(window.endMs);
      expect([dayOf(window.startMs, zone), dayOf(window.endMs - 1, zone)]).toEqual([day, day]);
      expect(dayOf(window.startMs - 0.25, zone)).toBe(dayAfter(day, -1));
    }
  }
});

test('only days of the calendar are days', () => {
  expect(['2026-02-28', '2028-02-29'].map(isDay)).toEqual([true, true]);
  expect(['2026-02-29', '2026-2-8', '2026-03-02T00:00', 'yesterday', ''].map(isDay)).toEqual(Array(5).fill(false));
  expect(() => dayWindow('2026-02-30', 'UTC')).toThrow(RangeError);
  expect(daysFrom('2026-03-02', '2026-03-01')).toEqual([]);
});
