import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  mad,
  madInPlace,
  median,
  medianInPlace,
  quantile,
  quantileInPlace,
  runningMedian,
  selectInPlace,
} from './robust.ts';

// Adding 0 turns -0 into 0, which sorting and comparing treat differently.
const finite = fc.double({ noNaN: true, min: -1e6, max: 1e6 }).map((value) => value + 0);
const series = fc.array(finite, { minLength: 1, maxLength: 60 });

describe('selection', () => {
  test('agrees with sorting, whatever the order and the ties', () => {
    const tied = fc.array(fc.oneof(finite, fc.integer({ min: -3, max: 3 })), { minLength: 1, maxLength: 60 });
    fc.assert(
      fc.property(tied, fc.nat(), (values, seed) => {
        const k = seed % values.length;
        const scratch = Float64Array.from(values);
        const chosen = selectInPlace(scratch, k);
        expect(chosen).toBe(Float64Array.from(values).sort()[k]);
        expect(Math.max(...scratch.subarray(0, k))).toBeLessThanOrEqual(chosen);
        expect(Math.min(...scratch.subarray(k + 1))).toBeGreaterThanOrEqual(chosen);
      }),
    );
  });

  test('stays linear on sorted, reversed and constant input', () => {
    const n = 400_000;
    const started = performance.now();
    expect(medianInPlace(Float64Array.from({ length: n }, (_, i) => i))).toBe((n - 1) / 2);
    expect(medianInPlace(Float64Array.from({ length: n }, (_, i) => -i))).toBe(-(n - 1) / 2);
    expect(medianInPlace(new Float64Array(n).fill(7))).toBe(7);
    expect(performance.now() - started).toBeLessThan(2000);
  });

  test('keeps to the stretch it is given', () => {
    const scratch = Float64Array.of(9, 5, 3, 4, 1);
    expect(selectInPlace(scratch, 0, 1, 4)).toBe(3);
    expect(scratch[0]).toBe(9);
    expect(scratch[4]).toBe(1);
  });
});

describe('median and MAD', () => {
  test('an even count takes the mean of the two middle values', () => {
    expect(median([4, 1, 3, 2])).toBe(2.5);
  });

  test('no values have no median', () => {
    expect(median([])).toBeNaN();
    expect(mad([])).toBeNaN();
  });

  test('one wild sample of eleven moves neither of them', () => {
    const calm = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11];
    const wild = [...calm.slice(0, 10), 1e9];
    expect(median(wild)).toBe(median(calm));
    expect(mad(wild)).toBe(mad(calm));
  });

  test('the in-place forms look at the part of the scratch that is in use, and give what the copying ones give', () => {
    fc.assert(
      fc.property(series, (values) => {
        const scratch = () => Float64Array.from([...values, 1e300, -1e300]);
        expect(madInPlace(scratch(), values.length)).toBe(mad(values));
        expect(quantileInPlace(scratch(), 0.9, values.length)).toBe(quantile(values, 0.9));
      }),
    );
  });

  test('the deviation may be taken about a centre that is known from elsewhere', () => {
    expect(madInPlace(Float64Array.of(10, 12, 14), 3, 10)).toBeCloseTo(2 * 1.4826, 12);
  });

  test('the copying forms leave their input alone', () => {
    const values = Float64Array.of(3, 1, 2);
    median(values);
    mad(values);
    quantile(values, 0.3);
    expect([...values]).toEqual([3, 1, 2]);
  });
});

describe('quantile', () => {
  test('meets the smallest, the middle and the largest value', () => {
    fc.assert(
      fc.property(series, (values) => {
        expect(quantile(values, 0)).toBe(Math.min(...values));
        expect(quantile(values, 1)).toBe(Math.max(...values));
        expect(quantile(values, 0.5)).toBeCloseTo(median(values), 6);
      }),
    );
  });

  test('refuses a share outside 0 to 1 with the share in the message', () => {
    expect(() => quantile([1, 2], 90)).toThrow('share 90 is not between 0 and 1');
    expect(() => quantile([1, 2], Number.NaN)).toThrow('share NaN');
  });
});

describe('running median', () => {
  test('inside, each value is the median of its window', () => {
    fc.assert(
      fc.property(series, fc.integer({ min: 0, max: 6 }), (values, half) => {
        const input = Float64Array.from(values);
        const out = runningMedian(input, 2 * half + 1);
        for (let i = half; i < values.length - half && i > 0 && i < values.length - 1; i += 1) {
          expect(out[i]).toBe(median(values.slice(i - half, i + half + 1)));
        }
      }),
    );
  });

  test('removes a single spike and keeps a step where it is', () => {
    const out = runningMedian(Float64Array.of(1, 1, 9, 1, 1, 5, 5, 5), 3);
    expect([...out]).toEqual([1, 1, 1, 1, 1, 5, 5, 5]);
  });

  test('a series shorter than the window shrinks the window', () => {
    expect([...runningMedian(Float64Array.of(1, 8, 3), 9)]).toEqual([3, 3, 3]);
    expect([...runningMedian(Float64Array.of(1, 8), 9)]).toEqual([1, 8]);
    expect([...runningMedian(Float64Array.of(), 9)]).toEqual([]);
  });

  test('refuses an even window', () => {
    expect(() => runningMedian(Float64Array.of(1, 2), 4)).toThrow('window 4 is not an odd whole number');
  });
});
