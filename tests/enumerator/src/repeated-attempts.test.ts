import { expect, test } from 'vitest';
import { ofCoupling } from './drawn-episodes.ts';
import { times } from './drawn-rows.ts';

/** So many tries before the one that holds: each backs for 5 s with load, and comes out for 5 s. */
function tries(count: number, load: number, forwardKph = 4.5) {
  const one = (inside: number, outside: number, rest: number) => [
    ...times(5, inside),
    ...times(3, rest),
    ...times(5, outside),
    ...times(3, rest),
  ];
  const repeat = (inside: number, outside: number, rest: number) =>
    Array.from({ length: count }, () => one(inside, outside, rest)).flat();
  const before = 260 - 16 * count;
  return {
    speedKph: [...times(before, 0), ...repeat(4.5, forwardKph, 0), ...times(11, 4.5), ...times(189, 0), 4.5, 9],
    gear: [...times(before - 1, 0), ...repeat(-1, 1, 0), ...times(13, -1), ...times(187, 0), 1],
    parkingBrake: [...times(before - 1, 1), ...times(16 * count + 41, 0), ...times(159, 1), 0],
    serviceBrake: [...times(before, 0), ...repeat(0, 0, 1), ...times(11, 0), ...times(29, 1), 0],
    suspensionKpa: [
      ...times(before, 60),
      ...repeat(load, 60, 60).map((_, i) => (i % 16 < 5 ? load : 60)),
      ...times(9, 60),
      120,
      200,
      300,
    ],
  };
}

test('one approach after a long stand is one try', () => {
  expect(ofCoupling('repeated-attempts')).toEqual({ low: 1, high: 1, outcome: 'met' });
});

test('one failed try before it is still met, three are missed', () => {
  expect(ofCoupling('repeated-attempts', tries(1, 200))).toEqual({ low: 2, high: 2, outcome: 'met' });
  expect(ofCoupling('repeated-attempts', tries(3, 200))).toEqual({ low: 4, high: 4, outcome: 'missed' });
});

test('backing without load may have been a try, and is no proof of one', () => {
  expect(ofCoupling('repeated-attempts', tries(3, 60))).toEqual({ low: 1, high: 4, outcome: 'undetermined' });
});

test('a trailer left behind by a drive is another trailer', () => {
  expect(ofCoupling('repeated-attempts', tries(3, 200, 36))).toMatchObject({ low: 1, outcome: 'undetermined' });
});
