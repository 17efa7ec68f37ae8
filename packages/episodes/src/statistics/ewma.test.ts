import { describe, expect, test } from 'vitest';
import { ewmaLimits, stepEwma } from './ewma.ts';

describe('exponentially weighted moving average', () => {
  test('a constant series stays exactly where it is', () => {
    expect(stepEwma(0.3, 412.7, 412.7)).toBe(412.7);
  });

  test('takes its share of every step, and all of it at a weight of 1', () => {
    expect(stepEwma(0.25, 100, 140)).toBe(110);
    expect(stepEwma(1, 100, 140)).toBe(140);
  });

  test('limits narrow with the weight and are those of single samples at a weight of 1', () => {
    expect(ewmaLimits(1, 50, 2, 3)).toEqual({ low: 44, high: 56 });
    expect(ewmaLimits(0.4, 50, 2, 3)).toEqual({ low: 47, high: 53 });
  });

  test('refuses a weight that never learns, or learns more than all', () => {
    expect(() => ewmaLimits(0, 50, 2, 3)).toThrow('weight 0');
    expect(() => ewmaLimits(1.1, 50, 2, 3)).toThrow('weight 1.1');
  });
});
