import { expect, test } from 'vitest';
import { ofCoupling } from './drawn-episodes.ts';
import { times } from './drawn-rows.ts';
import { enumerate } from './enumerate.ts';
import { type Row, rowOf, type TrueAnchor } from './row.ts';

const backing = (kph: number, more: number | (number | null)[] = 0) =>
  ofCoupling('contact-speed', {
    speedKph: [...times(260, 0), ...times(11, kph), ...times(189, 0), 4.5, 9],
    acceleratorPct: more,
  });

test('is met by a slow arrival with the foot off', () => {
  // 3.8 km/h at 270 s, and a second in which a creeping truck gathers at most 1 km/h.
  expect(backing(3.8)).toMatchObject({ low: 0, high: 4.8, outcome: 'met' });
});

test('is undetermined where it may have gathered speed, or may have braked', () => {
  expect(backing(4.5).outcome).toBe('undetermined');
  expect(backing(3.8, 20).outcome).toBe('undetermined');
  expect(backing(3.8, times(480, null)).outcome).toBe('undetermined');
  expect(backing(9).outcome).toBe('undetermined');
});

test('is missed where the speed falls faster than brakes can take it off', () => {
  // 10 Hz: 9 km/h at 10.0 s, 0 at 10.1 s; brakes take off 2.5 km/h in the time.
  const rows: Row[] = Array.from({ length: 600 }, (_, i) => ({
    ...rowOf(i * 100, []),
    speedKph: i < 50 || i > 100 ? 0 : 9,
    gear: i < 50 ? 0 : -1,
    parkingBrake: i < 50 || i > 130 ? 1 : 0,
    serviceBrake: i > 100 ? 1 : 0,
    engineRpm: 600 + i / 8,
    suspensionKpa: i < 95 ? 60 : 300,
  }));
  const anchor: TrueAnchor = {
    kind: 'coupling',
    startTime: 5_000,
    endTime: 60_000,
    loadTransferTime: 9_500,
    pressureBeforeKpa: 60,
    pressureAfterKpa: 300,
    dumped: false,
    milestones: { approachTime: 5_000, seatedTime: 10_050 },
    facts: { homeTime: 10_050 },
  };
  const known = { blindSpeedKph: 3.6, releasedPedalPct: 0, mode: 'periodic' } as const;
  const found = enumerate(rows, anchor, undefined, known)['contact-speed'];
  expect(found.low).toBeCloseTo(6.5, 6);
  expect(found.outcome).toBe('missed');
});
