/**
 * Unit conversions against the printed factors, both ways.
 *
 * Source: NIST Special Publication 811 (2008), appendix B.8, quoted from memory. Factors in bold there are exact; the others
 * are printed to seven digits, and half a unit of the last one is allowed.
 */
import { describe, expect, test } from 'vitest';
import { convert, type UnitSymbol } from '../../packages/signals/src/units.ts';

const exact: readonly (readonly [UnitSymbol, UnitSymbol, number])[] = [
  ['bar', 'kPa', 100],
  ['mbar', 'Pa', 100],
  ['mph', 'km/h', 1.609344],
  ['mph', 'm/s', 0.44704],
  ['kn', 'km/h', 1.852],
  ['lb', 'kg', 0.45359237],
  ['t', 'kg', 1000],
  ['ft', 'm', 0.3048],
  ['ft', 'mm', 304.8],
  ['in', 'mm', 25.4],
  ['in', 'cm', 2.54],
];

const printed: readonly (readonly [UnitSymbol, UnitSymbol, number, number])[] = [
  ['psi', 'kPa', 6.894757, 5e-7],
  ['psi', 'Pa', 6894.757, 5e-4],
  ['psi', 'bar', 0.06894757, 5e-9],
  ['km/h', 'm/s', 0.2777778, 5e-8],
  ['kn', 'm/s', 0.5144444, 5e-8],
  ['deg', 'rad', 0.01745329, 5e-9],
];

describe('exact factors', () => {
  test.each(exact)('1 %s is %s', (from, to, factor) => {
    expect(convert(1, from, to)).toBeCloseTo(factor, 15);
    expect(convert(1, from, to) / factor).toBeCloseTo(1, 15);
    expect(convert(factor, to, from)).toBeCloseTo(1, 15);
  });
});

describe('factors of seven digits', () => {
  test.each(printed)('1 %s in %s is %d', (from, to, factor, half) => {
    expect(Math.abs(convert(1, from, to) - factor)).toBeLessThanOrEqual(half);
    expect(convert(convert(1, from, to), to, from)).toBeCloseTo(1, 15);
  });
});

test('readings of a gauge survive the way there and back to the last digit but one', () => {
  for (let psi = 0; psi <= 150; psi += 0.5) {
    const back = convert(convert(psi, 'psi', 'kPa'), 'kPa', 'psi');
    expect(Math.abs(back - psi)).toBeLessThanOrEqual(psi * 2 ** -52);
  }
});
