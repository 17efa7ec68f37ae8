import fc from 'fast-check';
import { expect, it } from 'vitest';
import { proportion } from './proportion.ts';

it('is the share, with an interval around it', () => {
  const { value, low, high } = proportion(8, 10);
  expect(value).toBe(0.8);
  expect(low).toBeCloseTo(0.4902, 4);
  expect(high).toBeCloseTo(0.9433, 4);
});

it('knows nothing without a trial', () => {
  expect(proportion(0, 0)).toEqual({ successes: 0, trials: 0, value: Number.NaN, low: 0, high: 1 });
});

it('refuses counts that are none', () => {
  for (const [successes, trials] of [
    [-1, 2],
    [3, 2],
    [0.5, 2],
    [Number.NaN, 2],
  ] as const)
    expect(() => proportion(successes, trials)).toThrow(RangeError);
});

it('holds the two solutions of the score equation, within 0 and 1, and mirrors', () => {
  const counts = fc
    .integer({ min: 1, max: 5000 })
    .chain((n) => fc.tuple(fc.integer({ min: 0, max: n }), fc.constant(n)));
  fc.assert(
    fc.property(counts, ([successes, trials]) => {
      const { value, low, high } = proportion(successes, trials);
      expect(low).toBeGreaterThanOrEqual(0);
      expect(high).toBeLessThanOrEqual(1);
      expect(low).toBeLessThanOrEqual(value);
      expect(high).toBeGreaterThanOrEqual(value);
      // An end p is where |value - p| is z standard errors of p itself.
      for (const p of [low, high]) {
        const left = (value - p) ** 2;
        const right = (1.959963984540054 ** 2 * p * (1 - p)) / trials;
        expect(Math.abs(left - right)).toBeLessThan(1e-9);
      }
      const mirrored = proportion(trials - successes, trials);
      expect(1 - mirrored.high).toBeCloseTo(low, 12);
      expect(1 - mirrored.low).toBeCloseTo(high, 12);
    }),
  );
});

it('narrows as more is seen', () => {
  const width = (n: number) => proportion(n / 2, n).high - proportion(n / 2, n).low;
  expect(width(10)).toBeGreaterThan(width(40));
  expect(width(40)).toBeGreaterThan(width(4000));
});
