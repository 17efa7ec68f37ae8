/**
 * A sentence as data: a text with named gaps, and the quantities that fill them in SI. The wording is chosen once, by the
 * check; the unit system at the last moment, by whoever prints it.
 */

export interface Quantity {
  readonly value: number;
  /** `s`, `m`, `km/h`, `kPa`, `kg`, `%`, `r/min`, `count`. */
  readonly unit: string;
}

export interface Statement {
  /** Text with gaps such as `{pause}`. */
  readonly text: string;
  readonly values: Readonly<Record<string, Quantity | string>>;
}

export type UnitSystem = 'si' | 'us';

interface UsUnit {
  readonly unit: string;
  readonly per: number;
}

/** Exact by definition (1 mi = 1609.344 m, 1 ft = 0.3048 m, 1 lb = 0.45359237 kg); psi follows from lb, in and g. */
const us: Readonly<Record<string, UsUnit>> = {
  m: { unit: 'ft', per: 0.3048 },
  'km/h': { unit: 'mph', per: 1.609344 },
  kPa: { unit: 'psi', per: 6.894757293168361 },
  kg: { unit: 'lb', per: 0.45359237 },
};

const wholeNumbers = new Set(['r/min', 'kg', 'lb']);

/** The statement as a sentence. */
export function render(statement: Statement, units: UnitSystem = 'si'): string {
  return statement.text.replaceAll(/\{(\w+)\}/g, (gap, name: string) => {
    const value = statement.values[name];
    if (value === undefined) throw new RangeError(`statement: nothing fills ${gap}`);
    return typeof value === 'string' ? value : renderQuantity(value, units);
  });
}

/** One quantity with its unit, such as `12.5 s`, `3.1 mph`, `2`. */
export function renderQuantity(quantity: Quantity, units: UnitSystem): string {
  const { unit } = quantity;
  if (unit === 'count') return String(quantity.value);
  const other = units === 'us' ? us[unit] : undefined;
  const value = other === undefined ? quantity.value : quantity.value / other.per;
  const shown = other?.unit ?? unit;
  return `${decimal(value, wholeNumbers.has(shown) ? 0 : 1, quantity.value)} ${shown}`;
}

/** Whole numbers stay as they were stated; others get one decimal, or more where one would change them visibly. */
function decimal(value: number, decimals: number, stated: number): string {
  if (value === stated && Number.isInteger(value)) return String(value);
  if (value === stated && decimals > 0) return String(Number(value.toFixed(6)));
  return value.toFixed(decimals);
}
