import { describe, expect, it } from 'vitest';
import { brierScore, reliability } from './calibration.ts';

describe('calibration', () => {
  it('has a Brier score of 0 for certainty that is right, 1 for certainty that is wrong', () => {
    expect(brierScore([{ confidence: 1, real: true }])).toBe(0);
    expect(brierScore([{ confidence: 1, real: false }])).toBe(1);
    expect(brierScore([])).toBeNull();
  });

  it('averages squared distances', () => {
    const stated = [
      { confidence: 0.9, real: true },
      { confidence: 0.6, real: false },
    ];
    expect(brierScore(stated)).toBeCloseTo((0.01 + 0.36) / 2, 12);
  });

  it('puts every stated probability into one bin, 1 included', () => {
    const stated = [0, 0.49, 0.5, 0.95, 0.99, 1].map((confidence) => ({ confidence, real: true }));
    const bins = reliability(stated);
    expect(bins.reduce((sum, bin) => sum + bin.count, 0)).toBe(stated.length);
    expect(bins.at(-1)!.count).toBe(2);
  });

  it('shows how many of a bin were true', () => {
    const stated = [true, true, true, false].map((real) => ({ confidence: 0.85, real }));
    const bin = reliability(stated).find((b) => b.count > 0)!;
    expect(bin.realShare).toBe(0.75);
    expect(bin.meanConfidence).toBeCloseTo(0.85, 12);
  });
});
