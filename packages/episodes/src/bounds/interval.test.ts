import { describe, expect, it } from 'vitest';
import { exactly, interval, larger, plus, secondsBetween } from './interval.ts';

describe('an interval', () => {
  it('keeps its best figure within its ends', () => {
    expect(interval(1, 3, 9)).toEqual({ low: 1, high: 3, best: 3 });
    expect(interval(1, 3)).toEqual({ low: 1, high: 3, best: 2 });
  });

  it('refuses ends the wrong way round', () => {
    expect(() => interval(3, 1)).toThrow('low 3 is above high 1');
  });

  it('gives the shortest and the longest time between two uncertain instants, never below 0', () => {
    expect(secondsBetween(interval(1000, 2000), interval(5000, 9000))).toEqual({ low: 3, high: 8, best: 5.5 });
    expect(secondsBetween(exactly(5000), interval(1000, 6000)).low).toBe(0);
  });

  it('adds and compares end by end', () => {
    expect(plus(interval(1, 2), interval(10, 20))).toEqual({ low: 11, high: 22, best: 16.5 });
    expect(larger(interval(1, 9), interval(3, 4))).toEqual({ low: 3, high: 9, best: 5 });
  });
});
