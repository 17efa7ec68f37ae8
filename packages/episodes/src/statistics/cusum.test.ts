import { describe, expect, test } from 'vitest';
import { startCusum, stepCusum, traceCusum } from './cusum.ts';

const design = { target: 10, allowance: 1, limit: 4 };

describe('tabular CUSUM', () => {
  test('stays at zero within the allowance', () => {
    const trace = traceCusum(design, [10.9, 9.1, 10, 11, 9]);
    expect([...trace.high, ...trace.low]).toEqual(new Array(10).fill(0));
    expect(trace.signals).toEqual([]);
  });

  test('adds up a lasting shift, and signals strictly above the limit', () => {
    const trace = traceCusum(design, [13, 13, 13]);
    expect([...trace.high]).toEqual([2, 4, 6]);
    expect(trace.signals).toEqual([2]);
  });

  test('mirrored samples give mirrored sums and signals', () => {
    const state = startCusum(design);
    expect([7, 7, 7].map((x) => stepCusum(design, state, x))).toEqual([null, null, 'low']);
    expect(state.low).toBe(6);
  });

  test('the run counts back to where the shift began', () => {
    const state = startCusum(design);
    for (const x of [10, 12, 8, 13, 13, 13]) stepCusum(design, state, x);
    expect(state.highRun).toBe(3);
    expect(state.lowRun).toBe(0);
  });

  test('a head start signals an early shift sooner, and dies away without one', () => {
    const quick = { ...design, headStart: 2 };
    expect(traceCusum(quick, [13, 13]).signals).toEqual([1]);
    expect(traceCusum(quick, [10, 10, 10]).high[2]).toBe(0);
  });

  test('where both sums are above the limit, the larger one is named', () => {
    const both = { ...design, headStart: 9 };
    const state = startCusum(both);
    expect(stepCusum(both, state, 9)).toBe('low');
    expect(stepCusum(both, startCusum(both), 11)).toBe('high');
  });
});
