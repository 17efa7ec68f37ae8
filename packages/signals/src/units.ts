/**
 * Units by their usual symbols, and exact conversion between those of one dimension. A factor is a fraction of two numbers
 * that are exact by definition, so a conversion is rounded only by the arithmetic.
 *
 * Source of the definitions: NIST SP 811 (2008), appendix B, from memory: the inch is 25.4 mm, the foot 304.8 mm, the mile
 * 1609.344 m, the nautical mile 1852 m, the pound 0.45359237 kg; the pound-force is the pound times the standard
 * acceleration of free fall 9.80665 m/s2, 4.4482216152605 N, and psi is pound-force a square inch.
 */
import { type SignalName, signalDefinition } from './catalogue.ts';

export type Dimension = 'pressure' | 'speed' | 'mass' | 'length' | 'angle' | 'share' | 'rotation';

interface Unit {
  readonly dimension: Dimension;
  /** One of it is `times / per` of the dimension's unit in the catalogue. */
  readonly times: number;
  readonly per: number;
}

const unit = (dimension: Dimension, times: number, per = 1): Unit => ({ dimension, times, per });

const units = {
  kPa: unit('pressure', 1),
  Pa: unit('pressure', 1, 1000),
  MPa: unit('pressure', 1000),
  mbar: unit('pressure', 1, 10),
  bar: unit('pressure', 100),
  psi: unit('pressure', 4.4482216152605, 0.64516),
  'km/h': unit('speed', 1),
  'm/s': unit('speed', 18, 5),
  mph: unit('speed', 1.609344),
  kn: unit('speed', 1.852),
  kg: unit('mass', 1),
  t: unit('mass', 1000),
  lb: unit('mass', 0.45359237),
  mm: unit('length', 1),
  cm: unit('length', 10),
  m: unit('length', 1000),
  in: unit('length', 25.4),
  ft: unit('length', 304.8),
  deg: unit('angle', 1),
  '°': unit('angle', 1),
  rad: unit('angle', 180, Math.PI),
  '%': unit('share', 1),
  '1': unit('share', 100),
  'r/min': unit('rotation', 1),
  rpm: unit('rotation', 1),
  'r/s': unit('rotation', 60),
} as const satisfies Record<string, Unit>;

export type UnitSymbol = keyof typeof units;

export const unitSymbols = Object.keys(units) as UnitSymbol[];

export function isUnitSymbol(symbol: string): symbol is UnitSymbol {
  return Object.hasOwn(units, symbol);
}

/** What a unit measures. */
export function dimensionOf(symbol: UnitSymbol): Dimension {
  return units[symbol].dimension;
}

/** Converts between two units of one dimension; throws a RangeError where they measure different things. */
export function convert(value: number, from: UnitSymbol, to: UnitSymbol): number {
  const source: Unit = units[from];
  const target: Unit = units[to];
  if (source.dimension !== target.dimension) {
    throw new RangeError(`${from} measures ${source.dimension}, ${to} measures ${target.dimension}`);
  }
  if (from === to) return value;
  return (value * source.times * target.per) / (source.per * target.times);
}

/** The units that a signal may come in; none for a two-state signal or a plain number. */
export function unitsOf(signal: SignalName): readonly UnitSymbol[] {
  const own = signalDefinition(signal).unit;
  if (own === '1' || own === '0/1' || !isUnitSymbol(own)) return [];
  return unitSymbols.filter((symbol) => units[symbol].dimension === units[own].dimension);
}
