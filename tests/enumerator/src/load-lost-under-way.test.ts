import { expect, test } from 'vitest';
import { rowsEvery, times } from './drawn-rows.ts';
import { enumerate } from './enumerate.ts';
import type { Row, TrueAnchor } from './row.ts';

const loss: TrueAnchor = {
  kind: 'load-loss',
  startTime: 60_500,
  endTime: 60_500,
  loadTransferTime: 60_500,
  pressureBeforeKpa: 300,
  pressureAfterKpa: 60,
  dumped: false,
  milestones: {},
};
const of = (rows: readonly Row[]) => enumerate(rows, loss)['load-lost-under-way'];
const drive = (speedKph: number | (number | null)[], suspensionKpa = [...times(61, 300), 60]) =>
  of(rowsEvery(1, 130, { speedKph, suspensionKpa, gear: 8 }));

test('is missed where half of the load goes at road speed', () => {
  const found = drive(70);
  expect(found.low).toBeCloseTo(69.5, 6);
  expect(found.high).toBeCloseTo(70.5, 6);
  expect(found.outcome).toBe('missed');
});

test('is met at walking pace, and undetermined where the speed crosses the limit meanwhile', () => {
  expect(drive(9).outcome).toBe('met');
  expect(drive([...times(60, 20), 18, 12, 6, 0]).outcome).toBe('undetermined');
});

test('is undetermined where no speed, or no fall, is seen', () => {
  expect(drive(times(130, null)).outcome).toBe('undetermined');
  expect(drive(70, [300]).outcome).toBe('undetermined');
});
