/**
 * A sentence as data: a text with named gaps, and the quantities that fill them in SI. The wording is chosen once, by the
 * check; the unit system at the last moment, by whoever prints it.
 */
import { convert, isUnitSymbol, type UnitSymbol } from '@gearhold/signals';

export interface Quantity {
  readonly value: number;
  /** `s`, `m`, `km/h`, `kPa`, `kg`, `%`, `r/min`, `count`. */
  readonly unit: string;
}

export interface Statement {
  /** Text with gaps: `{pause}` is the quantity itself, `{tries:try|tries}` the word that goes with one of it or with many. */
  readonly text: string;
  readonly values: Readonly<Record<string, Quantity | string>>;
}

export type UnitSystem = 'si' | 'us';

const us: Readonly<Partial<Record<UnitSymbol, UnitSymbol>>> = { m: 'ft', 'km/h': 'mph', kPa: 'psi', kg: 'lb' };

const wholeNumbers = new Set(['r/min', 'kg', 'lb']);

/** The statement as a sentence. */
export function render(statement: Statement, units: UnitSystem = 'si'): string {
  return statement.text.replaceAll(
    /\{(\w+)(?::([^|}]*)\|([^|}]*))?\}/g,
    (gap, name: string, one?: string, many = '') => {
      const value = statement.values[name];
      if (value === undefined) throw new RangeError(`statement: nothing fills ${gap}`);
      if (one !== undefined) return typeof value !== 'string' && value.value === 1 ? one : many;
      return typeof value === 'string' ? value : renderQuantity(value, units);
    },
  );
}

/** One quantity with its unit, such as `12.5 s`, `3.1 mph`, `2`. */
function renderQuantity(quantity: Quantity, units: UnitSystem): string {
  const { unit } = quantity;
  if (unit === 'count') return String(quantity.value);
  const other = units === 'us' && isUnitSymbol(unit) ? us[unit] : undefined;
  const value = other === undefined ? quantity.value : convert(quantity.value, unit as UnitSymbol, other);
  const shown = other ?? unit;
  return `${decimal(value, wholeNumbers.has(shown) ? 0 : 1, quantity.value)} ${shown}`;
}

/** A figure as it was stated keeps its decimals, which were chosen with care; a converted one gets its own. */
function decimal(value: number, decimals: number, stated: number): string {
  return value === stated ? String(Number(value.toFixed(6))) : value.toFixed(decimals);
}
