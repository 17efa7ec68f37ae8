import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { isZone, LocalClock } from './zone.ts';

/** Local parts of an instant by the runtime's formatter: another way to the same answer. */
const localMs = (at: number, zone: string) => {
  const format = new Intl.DateTimeFormat('en-US', {
    timeZone: zone,
    hourCycle: 'h23',
    year: 'numeric',
    month: 'numeric',
    day: 'numeric',
    hour: 'numeric',
    minute: 'numeric',
    second: 'numeric',
  });
  const part = Object.fromEntries(format.formatToParts(at).map((p) => [p.type, Number(p.value)]));
  return Date.UTC(part.year!, part.month! - 1, part.day, part.hour, part.minute, part.second);
};

describe('LocalClock', () => {
  it('finds the instant of every local time, in zones of all kinds', () => {
    const zones = ['America/Chicago', 'Australia/Lord_Howe', 'Asia/Kathmandu', 'Europe/Dublin', 'UTC', '+05:30'];
    const clocks = new Map(
      zones.map((zone) => [zone, [new LocalClock(zone, 'earlier'), new LocalClock(zone, 'later')]]),
    );
    const seconds = fc.integer({ min: Date.UTC(1990, 0, 1) / 1000, max: Date.UTC(2037, 0, 1) / 1000 });
    fc.assert(
      fc.property(fc.constantFrom(...zones), seconds, (zone, second) => {
        const local = localMs(second * 1000, zone);
        const found = clocks.get(zone)!.map((clock) => clock.instant(local));
        expect(found).toContain(second * 1000);
        for (const instant of found) expect(localMs(instant, zone)).toBe(local);
      }),
      { numRuns: 400 },
    );
  });

  it('rejects a local time that happens twice unless told which is meant', () => {
    const local = Date.UTC(2026, 10, 1, 1, 30, 0, 250);
    const reject = new LocalClock('America/Chicago', 'reject');
    expect([reject.instant(local), reject.failure]).toEqual([Number.NaN, 'time-ambiguous']);
    expect(new LocalClock('America/Chicago', 'earlier').instant(local)).toBe(Date.UTC(2026, 10, 1, 6, 30, 0, 250));
    expect(new LocalClock('America/Chicago', 'later').instant(local)).toBe(Date.UTC(2026, 10, 1, 7, 30, 0, 250));
  });

  it('never takes a local time that the clocks skip', () => {
    for (const ambiguous of ['reject', 'earlier', 'later'] as const) {
      const clock = new LocalClock('America/Chicago', ambiguous);
      expect([clock.instant(Date.UTC(2026, 2, 8, 2, 30)), clock.failure]).toEqual([Number.NaN, 'time-skipped']);
      expect(clock.instant(Date.UTC(2026, 2, 8, 1, 59, 59))).toBe(Date.UTC(2026, 2, 8, 7, 59, 59));
      expect(clock.instant(Date.UTC(2026, 2, 8, 3))).toBe(Date.UTC(2026, 2, 8, 8));
    }
  });

  it('sees a change of half an hour in the middle of an hour', () => {
    const clock = new LocalClock('Australia/Lord_Howe', 'reject');
    expect(clock.instant(Date.UTC(2026, 3, 5, 1, 29))).toBe(Date.UTC(2026, 3, 4, 14, 29));
    expect(clock.instant(Date.UTC(2026, 3, 5, 1, 45))).toBeNaN();
    expect(clock.instant(Date.UTC(2026, 3, 5, 2, 0))).toBe(Date.UTC(2026, 3, 4, 15, 30));
  });
});

describe('isZone', () => {
  it('knows zones by name and offset', () => {
    expect(['America/Chicago', 'UTC', '-06:00'].map(isZone)).toEqual([true, true, true]);
    expect(['America/Nowhere', '', 'CST6'].map(isZone)).toEqual([false, false, false]);
  });
});
