/**
 * Units of the evidence bar's labels. The wire is SI; for a reader who thinks in psi, mph and feet the figures are converted
 * here, last. Seconds, per cent and revolutions are the same everywhere.
 */
import { convert, isUnitSymbol, type UnitSymbol } from '@gearhold/signals';

export type Units = 'metric' | 'us';

const customary: Readonly<Record<string, UnitSymbol>> = { kPa: 'psi', 'km/h': 'mph', m: 'ft', mm: 'in', kg: 'lb' };

/** A figure in the reader's unit. */
export function inUnits(value: number, unit: string, units: Units): { readonly value: number; readonly unit: string } {
  const other = units === 'us' ? customary[unit] : undefined;
  if (other === undefined || !isUnitSymbol(unit)) return { value, unit };
  return { value: convert(value, unit, other), unit: other };
}

/** A figure as short as it may be: three digits, no more than one behind the point. */
export function figureText(value: number): string {
  const decimals = Math.abs(value) < 100 ? 1 : 0;
  const text = value.toFixed(decimals).replace(/\.0$/, '');
  return text === '-0' ? '0' : text;
}

const unitAfterFigure = /(\d) (?=(?:s|m|mm|in|ft|%|km\/h|mph|kPa|psi|kg|lb|r\/min)(?![\w/]))/g;

/** The text with every figure bound to its unit by a no-break space, so that no line ends between them. */
export function boundUnits(text: string): string {
  return text.replace(unitAfterFigure, '$1\u00a0');
}
