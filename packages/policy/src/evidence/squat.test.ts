import { expect, it } from 'vitest';
import { at, evidenceOf, rowsEvery } from '../testing/scene.ts';
import { squats } from './squat.ts';

/** Stands for 20 s, then backs for 10 s; height by seconds. */
const seen = (height: (t: number) => number, seconds = 1) =>
  squats(
    evidenceOf(
      rowsEvery(seconds, 0, 40, (t) => ({
        speedKph: t > 20 && t < 30 ? 3 : 0,
        rideHeightMm: height(t),
        engineRpm: 600 + t,
      })),
      { cadence: { usualMs: seconds * 1000 } },
    ),
    at(20),
    at(29),
    at(30),
  );

it('is seen where the frame goes down and stays down while it backs', () => {
  expect(seen((t) => (t >= 26 ? -35 : 2))).toBe(true);
});

it('is not seen where it passes as the truck stops, in less than a squat, or after the backing', () => {
  expect(seen((t) => (t >= 26 && t < 31 ? -35 : 2))).toBe(false);
  expect(seen((t) => (t >= 26 ? -7 : 2))).toBe(false);
  expect(seen((t) => (t >= 30 ? -35 : 2))).toBe(false);
});

it('is not seen where the frame stood too high, or had not settled, before', () => {
  expect(seen((t) => (t >= 26 ? -5 : 40))).toBe(false);
  expect(seen((t) => (t >= 26 ? -35 : 40 - 2 * t))).toBe(false);
  expect(seen((t) => (t >= 26 ? -20 : t % 2 === 0 ? 6 : -5))).toBe(false);
});

it('is not seen without a signal, or where too few samples show the height before', () => {
  expect(squats(evidenceOf(rowsEvery(1, 0, 40, () => ({ speedKph: 0 }))), at(20), at(29), at(30))).toBe(false);
  expect(seen((t) => (t >= 26 ? -35 : 2), 10)).toBe(false);
});
