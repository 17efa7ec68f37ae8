import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { wilson } from './proportion.ts';

describe('wilson', () => {
  it('says nothing of no trials', () => {
    expect(wilson(0, 0)).toBeNull();
  });

  it('refuses what is no count', () => {
    for (const [count, of] of [
      [-1, 5],
      [6, 5],
      [1.5, 5],
      [1, Number.NaN],
    ] as const) {
      expect(() => wilson(count, of)).toThrow(RangeError);
    }
  });

  it('holds the share, stays within 0 and 1, and mirrors what did not happen', () => {
    const counts = fc
      .integer({ min: 1, max: 5000 })
      .chain((of) => fc.tuple(fc.integer({ min: 0, max: of }), fc.constant(of)));
    fc.assert(
      fc.property(counts, ([count, of]) => {
        const { share, low, high } = wilson(count, of)!;
        expect(low).toBeGreaterThanOrEqual(0);
        expect(low).toBeLessThanOrEqual(share);
        expect(high).toBeGreaterThanOrEqual(share);
        expect(high).toBeLessThanOrEqual(1);
        expect(wilson(of - count, of)!.low).toBeCloseTo(1 - high, 12);
      }),
    );
  });

  it('narrows as more is seen', () => {
    const width = (of: number) => wilson(of / 5, of)!.high - wilson(of / 5, of)!.low;
    expect(width(50)).toBeLessThan(width(10));
    expect(width(500)).toBeLessThan(width(50));
  });
});
