import { expect, it } from 'vitest';
import { zoneTime } from './zone-time.ts';

it('gives date and time in the zone of the place', () => {
  expect(zoneTime('2026-03-03T05:42:31.000Z', 'America/Chicago')).toEqual({ date: '2 Mar 2026', time: '23:42 CST' });
  expect(zoneTime('2026-07-03T05:42:31.000Z', 'America/Chicago')).toEqual({ date: '3 Jul 2026', time: '00:42 CDT' });
});

it('names UTC where the place has no zone', () => {
  expect(zoneTime('2026-03-03T05:42:31.000Z')).toEqual({ date: '3 Mar 2026', time: '05:42 UTC' });
});
