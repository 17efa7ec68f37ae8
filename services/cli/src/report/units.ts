/**
 * Units of the evidence bar's labels. The wire is SI; for a reader who thinks in psi, mph and feet the figures are converted
 * here, last. Seconds, per cent and revolutions are the same everywhere.
 */

export type Units = 'metric' | 'us';

interface Conversion {
  readonly symbol: string;
  readonly factor: number;
}

/**
 * Per metric unit: its US symbol and how many of those it is. Exact, from the international foot and pound (NIST SP 811,
 * from memory): 1 psi = 0.45359237 kg x 9.80665 m/s2 / (0.0254 m)2.
 */
const conversions: Readonly<Record<string, Conversion>> = {
  kPa: { symbol: 'psi', factor: 1000 / ((0.45359237 * 9.80665) / 0.0254 ** 2) },
  'km/h': { symbol: 'mph', factor: 1 / 1.609344 },
  m: { symbol: 'ft', factor: 1 / 0.3048 },
  mm: { symbol: 'in', factor: 1 / 25.4 },
  kg: { symbol: 'lb', factor: 1 / 0.45359237 },
};

/** A figure in the reader's unit. */
export function convert(value: number, unit: string, units: Units): { readonly value: number; readonly unit: string } {
  const conversion = units === 'us' ? conversions[unit] : undefined;
  return conversion === undefined ? { value, unit } : { value: value * conversion.factor, unit: conversion.symbol };
}

/** A figure as short as it may be: three digits, no more than one behind the point. */
export function figureText(value: number): string {
  const decimals = Math.abs(value) < 100 ? 1 : 0;
  const text = value.toFixed(decimals).replace(/\.0$/, '');
  return text === '-0' ? '0' : text;
}
