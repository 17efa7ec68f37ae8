import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { catalogue } from './catalogue.ts';
import { convert, dimensionOf, type UnitSymbol, unitSymbols, unitsOf } from './units.ts';

/** NIST SP 811, appendix B.8, from memory; as many digits as it prints. */
const published: [number, UnitSymbol, number, UnitSymbol, number][] = [
  [1, 'psi', 6.894757, 'kPa', 7],
  [1, 'bar', 100, 'kPa', 12],
  [1, 'mbar', 0.1, 'kPa', 12],
  [1, 'mph', 1.609344, 'km/h', 12],
  [1, 'mph', 0.44704, 'm/s', 12],
  [1, 'kn', 1.852, 'km/h', 12],
  [1, 'lb', 0.45359237, 'kg', 12],
  [1, 'in', 25.4, 'mm', 12],
  [1, 'ft', 0.3048, 'm', 12],
  [1, 'deg', 0.01745329, 'rad', 7],
  [1, 'r/s', 60, 'rpm', 12],
];

describe('convert', () => {
  it('agrees with the published factors, both ways', () => {
    for (const [a, from, b, to, digits] of published) {
      expect(convert(a, from, to) / b).toBeCloseTo(1, digits - 1);
      expect(convert(b, to, from) / a).toBeCloseTo(1, digits - 1);
    }
  });

  it('has the psi that the definitions of inch, pound and free fall give, to the last place of a double', () => {
    // In whole numbers: 0.45359237 kg * 9.80665 m/s2 / (0.0254 m)2, in units of 1e-20 Pa.
    const pascal = (45_359_237n * 980_665n * 10n ** 15n) / (254n * 254n);
    expect(convert(1, 'psi', 'Pa')).toBeCloseTo(Number(pascal) / 1e20, 10);
    expect(pascal.toString().slice(0, 16)).toBe('6894757293168361');
  });

  it('comes back to where it began, between any two units of a dimension', () => {
    const pairs = unitSymbols.flatMap((a) =>
      unitSymbols.filter((b) => dimensionOf(a) === dimensionOf(b)).map((b) => [a, b] as const),
    );
    fc.assert(
      fc.property(
        fc.constantFrom(...pairs),
        fc.integer().map((n) => n / 1000),
        ([a, b], value) => {
          const back = convert(convert(value, a, b), b, a);
          expect(Math.abs(back - value)).toBeLessThanOrEqual(Math.abs(value) * 1e-15 * 4);
        },
      ),
    );
  });

  it('leaves a value in its own unit untouched', () => {
    expect(convert(0.1 + 0.2, 'kPa', 'kPa')).toBe(0.1 + 0.2);
  });

  it('refuses units that measure different things', () => {
    expect(() => convert(1, 'psi', 'kg')).toThrow('psi measures pressure, kg measures mass');
  });
});

describe('unitsOf', () => {
  it('holds the unit of the catalogue wherever a signal has one, and none for flags and gears', () => {
    for (const { name, unit, type } of catalogue) {
      if (type === 'real') expect(unitsOf(name)).toContain(unit);
      else expect(unitsOf(name)).toEqual([]);
    }
  });
});
