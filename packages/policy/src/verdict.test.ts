import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Ask, measuredBetween, outcomeOf, roundMeasured } from './verdict.ts';

const seconds = (low: number | null, high: number | null) => measuredBetween(low ?? high ?? 0, low, high, 's');

describe('the outcome rule', () => {
  it.each<[number | null, number | null, Ask, string]>([
    [30, 32, 'at-least', 'met'],
    [29.9, 40, 'at-least', 'undetermined'],
    [0, 29.9, 'at-least', 'missed'],
    [0, 30, 'at-least', 'undetermined'],
    [40, null, 'at-least', 'met'],
    [0, null, 'at-least', 'undetermined'],
    [null, 10, 'at-least', 'missed'],
    [0, 30, 'at-most', 'met'],
    [30, 31, 'at-most', 'undetermined'],
    [30.1, 31, 'at-most', 'missed'],
    [31, null, 'at-most', 'missed'],
    [0, null, 'at-most', 'undetermined'],
    [null, null, 'at-most', 'undetermined'],
  ])('from %s to %s against %s 30 is %s', (low, high, ask, outcome) => {
    expect(outcomeOf(seconds(low, high), ask, 30)).toBe(outcome);
  });

  it('refuses bounds that cross', () => {
    expect(() => seconds(3, 2)).toThrow(RangeError);
  });
});

describe('rounding for print', () => {
  it('never carries a bound across the limit', () => {
    expect(roundMeasured(seconds(29.97, 31.02), 30)).toMatchObject({ low: 29.9, high: 31.1 });
    expect(roundMeasured(seconds(0, 29.97), 30)).toMatchObject({ high: 29.97 });
    expect(roundMeasured(seconds(30.04, 31), 30.03)).toMatchObject({ low: 30.04 });
  });

  it('leaves a figure known to a decimal as it is, whatever its last bits', () => {
    const measured = measuredBetween(12.3 - 0.8, 12.3 - 0.8, 12.3 - 0.8, '%');
    expect(roundMeasured(measured, 2)).toEqual({ value: 11.5, low: 11.5, high: 11.5, unit: '%' });
  });

  it('widens and never narrows, and keeps the outcome', () => {
    const number = fc.double({ min: 0, max: 100, noNaN: true });
    fc.assert(
      fc.property(number, number, number, fc.constantFrom<Ask>('at-least', 'at-most'), (a, b, limit, ask) => {
        const exact = seconds(Math.min(a, b), Math.max(a, b));
        const printed = roundMeasured(exact, limit);
        expect(printed.low!).toBeLessThanOrEqual(exact.low! + 1e-9);
        expect(printed.high!).toBeGreaterThanOrEqual(exact.high! - 1e-9);
        expect(printed.value).toBeGreaterThanOrEqual(printed.low!);
        expect(printed.value).toBeLessThanOrEqual(printed.high!);
        const clear = [exact.low!, exact.high!].every((bound) => bound === limit || Math.abs(bound - limit) > 1e-6);
        if (clear) expect(outcomeOf(printed, ask, limit)).toBe(outcomeOf(exact, ask, limit));
      }),
      { seed: 3 },
    );
  });
});
