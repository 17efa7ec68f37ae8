import { expect, test } from 'vitest';
import { ofUncoupling } from './drawn-episodes.ts';
import { times } from './drawn-rows.ts';

/** Exhausted at standstill to 5 kPa; refilled from so many seconds on. */
const dumped = (refilledAt: number) => ({
  suspensionKpa: [...times(40, 300), 200, 100, 40, ...times(refilledAt - 43, 5), 35, 60],
});
const anchor = { dumped: true, loadTransferTime: 41_000 };

test('is not asked where the springs were not exhausted', () => {
  expect(ofUncoupling('airbags-restored', { suspensionDump: 0 }).outcome).toBe('not-applicable');
});

test('is met where they are full again at walking pace', () => {
  expect(ofUncoupling('airbags-restored', dumped(106), {}, anchor).outcome).toBe('met');
});

test('is missed where the truck drives at 18 km/h on them', () => {
  // Half a km/h that the speed may swing between the samples is granted.
  expect(ofUncoupling('airbags-restored', dumped(130), {}, anchor)).toMatchObject({ low: 17.5, outcome: 'missed' });
});

test('is undetermined where nobody saw them full again, or whether they were exhausted', () => {
  expect(ofUncoupling('airbags-restored', dumped(300), {}, anchor)).toMatchObject({ high: null });
  const half = { suspensionKpa: [...times(40, 300), ...times(90, 50), 60] };
  expect(ofUncoupling('airbags-restored', half, {}, anchor).outcome).toBe('undetermined');
});
