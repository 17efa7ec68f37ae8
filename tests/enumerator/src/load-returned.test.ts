import { expect, test } from 'vitest';
import { ofUncoupling } from './drawn-episodes.ts';
import { times } from './drawn-rows.ts';

test('is met where nothing comes back', () => {
  expect(ofUncoupling('load-returned')).toMatchObject({ low: 0, outcome: 'met' });
});

test('is missed where most of the load is back for some seconds', () => {
  const suspensionKpa = [...times(102, 300), 60, ...times(4, 240), 60];
  const found = ofUncoupling('load-returned', { suspensionKpa });
  // 180 of 240 kPa came back; the error of the sensor and of the road is granted.
  expect(found.low).toBeGreaterThan(70);
  expect(found.outcome).toBe('missed');
});

test('leaves open what one sample shows, and does not count a load that goes slowly', () => {
  const once = { suspensionKpa: [...times(102, 300), 60, 240, 60] };
  expect(ofUncoupling('load-returned', once)).toMatchObject({ low: 0, outcome: 'undetermined' });
  const lag = [...times(102, 300), 290, 280, 270, 260, 60];
  expect(ofUncoupling('load-returned', { suspensionKpa: lag }).outcome).toBe('met');
});

test('is undetermined where a hole may hide it, or the fall is lost in the noise', () => {
  const hole = [...times(102, 300), 60, null, null, null, null, 60];
  expect(ofUncoupling('load-returned', { suspensionKpa: hole })).toMatchObject({ high: null, outcome: 'undetermined' });
  expect(ofUncoupling('load-returned', {}, { loadNoise: 40 }).outcome).toBe('undetermined');
});
