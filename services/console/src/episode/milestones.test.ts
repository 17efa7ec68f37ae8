import { expect, it } from 'vitest';
import type { StoredEpisode } from '../server/messages.ts';
import { milestonesOf, unplacedOf } from './milestones.ts';

const at = (second: number) => new Date(second * 1000).toISOString();
const bounds = (low: number, high: number) => ({ low: at(low), high: at(high) });

const coupling = {
  milestones: {
    approachTime: at(10),
    contactTime: null,
    seatedTime: at(20),
    tugTestTimes: [at(25), at(31)],
    departureTime: at(90),
  },
  milestoneBounds: {
    approachTime: bounds(9, 11),
    contactTime: null,
    seatedTime: bounds(18, 22),
    tugTestTimes: [bounds(24, 26), bounds(30, 32)],
    departureTime: bounds(89, 91),
  },
} as unknown as StoredEpisode['episode'];

it('tells the milestones in the order of time, each between its bounds', () => {
  expect(milestonesOf(coupling).map(({ short, low, high }) => [short, low, high])).toEqual([
    ['approach', at(9), at(11)],
    ['seated', at(18), at(22)],
    ['tug test', at(24), at(26)],
    ['tug test', at(30), at(32)],
    ['departure', at(89), at(91)],
  ]);
});

it('says which ones the readings do not place', () => {
  expect(unplacedOf(coupling)).toEqual(['contact']);
});
