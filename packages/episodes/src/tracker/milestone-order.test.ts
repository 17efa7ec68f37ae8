import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { exactly, interval } from '../bounds/interval.ts';
import { inOrder } from './milestone-order.ts';

describe('milestones in order', () => {
  it('meet within their bounds where they came out the wrong way round', () => {
    const found = inOrder({ a: interval(0, 10, 8), b: interval(3, 9, 4) }, [['a', 'b']]);
    expect(found).toEqual({ a: interval(0, 10, 8), b: interval(3, 9, 8) });
  });

  it('stay as they are where they are in order, unknown, or apart', () => {
    const known = { a: exactly(1), b: exactly(2), c: null, d: exactly(0) };
    expect(
      inOrder(known, [
        ['a', 'b'],
        ['a', 'c'],
        ['c', 'b'],
        ['a', 'd'],
      ]),
    ).toEqual(known);
  });

  it('never move a bound, and come out in order wherever their bounds allow it', () => {
    const any = fc
      .tuple(
        fc.integer({ min: 0, max: 50 }),
        fc.integer({ min: 0, max: 50 }),
        fc.double({ min: 0, max: 1, noNaN: true }),
      )
      .map(([low, width, share]) => interval(low, low + width, low + share * width));
    fc.assert(
      fc.property(any, any, (a, b) => {
        const found = inOrder({ a, b }, [['a', 'b']]);
        expect([found.a.low, found.a.high, found.b.low, found.b.high]).toEqual([a.low, a.high, b.low, b.high]);
        expect(found.a.best <= found.b.best).toBe(a.low <= b.high);
      }),
    );
  });
});
