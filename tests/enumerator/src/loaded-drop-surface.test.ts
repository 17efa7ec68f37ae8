import { expect, test } from 'vitest';
import { ofUncoupling } from './drawn-episodes.ts';
import { times } from './drawn-rows.ts';
import type { Known } from './row.ts';

const yard = (bears: boolean, radiusM = 200): Partial<Known> => ({
  sites: [{ latitude: 41.2, longitude: -98.1, radiusM, bears }],
});
const of = (also: Partial<Known>, drawn = {}, anchor = {}) => ofUncoupling('loaded-drop-surface', drawn, also, anchor);

test('is met on ground that bears it, whatever the trailer weighs', () => {
  expect(of(yard(true))).toEqual({ low: 1, high: 1, outcome: 'met' });
});

test('is missed on other ground where the stated full level shows that the trailer was loaded', () => {
  expect(of({ ...yard(false), full: 330 })).toEqual({ low: 0, high: 0, outcome: 'missed' });
});

test('is undetermined without a stated level, near it, with a lift axle, and at the edge of a site or outside of all', () => {
  expect(of(yard(false)).outcome).toBe('undetermined');
  expect(of({ ...yard(false), full: 390 }).outcome).toBe('undetermined');
  expect(of({ ...yard(false), full: 330, liftAxle: true }).outcome).toBe('undetermined');
  expect(of(yard(true, 15)).outcome).toBe('undetermined');
  expect(of({ sites: [] }).outcome).toBe('undetermined');
  expect(of(yard(true), { latitude: times(211, null) }).outcome).toBe('undetermined');
});

test('is not asked of a trailer that was not loaded', () => {
  expect(of(yard(false), {}, { trailerLoad: 'empty' }).outcome).toBe('not-applicable');
});
