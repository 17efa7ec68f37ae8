import { expect, test } from 'vitest';
import { ofCoupling } from './drawn-episodes.ts';
import { times } from './drawn-rows.ts';

test('is met by the braked standstill between the seat and the leaving', () => {
  // Zeros from 271 to 459 s, of which the ramp after the arrival is not proven.
  const found = ofCoupling('coupling-dwell');
  expect(found.outcome).toBe('met');
  expect(found.low).toBeGreaterThan(180);
  expect(found.high).toBeLessThan(192);
});

test('counts from the last pull', () => {
  const torquePct = [...times(380, 4), 30, 30, 4];
  const gear = [
    ...times(259, 0),
    ...times(12, -1),
    ...times(29, 1),
    ...times(78, 0),
    ...times(6, 1),
    ...times(74, 0),
    1,
  ];
  const found = ofCoupling('coupling-dwell', { torquePct, gear });
  expect(found.low).toBeLessThan(80);
  expect(found.outcome).toBe('undetermined');
});

test('is missed where the truck leaves soon after the seat', () => {
  const speedKph = [...times(260, 0), ...times(11, 4.5), ...times(60, 0), ...times(200, 9)];
  const milestones = { approachTime: 259_500, seatedTime: 271_200, departureTime: 330_500 };
  const anchor = {
    kind: 'coupling',
    startTime: 259_500,
    endTime: 331_000,
    loadTransferTime: 270_200,
    pressureBeforeKpa: 60,
    pressureAfterKpa: 300,
    dumped: false,
    milestones,
    facts: { homeTime: 270_500 },
  };
  const found = ofCoupling('coupling-dwell', { speedKph, parkingBrake: 0 }, {}, anchor);
  expect(found.outcome).toBe('missed');
  expect(found.high).toBeLessThan(65);
});

test('is undetermined where nobody knows when the last pull was', () => {
  const drawn = { torquePct: times(480, null), gear: times(480, null), parkingBrake: times(480, null) };
  expect(ofCoupling('coupling-dwell', drawn)).toMatchObject({ low: 0, outcome: 'undetermined' });
});
