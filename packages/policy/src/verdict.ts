/**
 * The contract's outcome rule. `missed` needs the whole range on the wrong side of the limit, `met` the whole range on the
 * right side; anything else is `undetermined`. A bound of null is unbounded on that side.
 */

export const outcomes = ['met', 'missed', 'undetermined', 'not-applicable'] as const;
export type Outcome = (typeof outcomes)[number];

/** What a limit asks of a value: to be at least it, or at most it. Equal is on the right side of either. */
export type Ask = 'at-least' | 'at-most';

export interface Measured {
  /** Best single figure within the bounds. */
  readonly value: number;
  readonly low: number | null;
  readonly high: number | null;
  readonly unit: string;
}

/** A measured value; `value` is kept within its bounds. Throws RangeError where the bounds cross. */
export function measuredBetween(value: number, low: number | null, high: number | null, unit: string): Measured {
  if (low !== null && high !== null && low > high) throw new RangeError(`measured: low ${low} is above high ${high}`);
  return { value: Math.min(high ?? value, Math.max(low ?? value, value)), low, high, unit };
}

/** The outcome of a measured range against a limit. */
export function outcomeOf(measured: Measured, ask: Ask, limit: number): 'met' | 'missed' | 'undetermined' {
  const { low, high } = measured;
  if (ask === 'at-least') {
    if (low !== null && low >= limit) return 'met';
    return high !== null && high < limit ? 'missed' : 'undetermined';
  }
  if (high !== null && high <= limit) return 'met';
  return low !== null && low > limit ? 'missed' : 'undetermined';
}

/** Decimals printed for a unit. */
const decimalsOf: Readonly<Record<string, number>> = { count: 0, 'r/min': 0 };
const usualDecimals = 1;
const mostDecimals = 6;

/**
 * Rounds for print. Bounds are rounded outwards, and neither ever across the limit: what a reader works out from the printed
 * range is the outcome beside it.
 */
export function roundMeasured(measured: Measured, limit: number): Measured {
  const decimals = decimalsOf[measured.unit] ?? usualDecimals;
  const low = measured.low === null ? null : roundBeside(measured.low, limit, decimals, Math.floor);
  const high = measured.high === null ? null : roundBeside(measured.high, limit, decimals, Math.ceil);
  const value = Number(measured.value.toFixed(decimals));
  return measuredBetween(value, low, high, measured.unit);
}

function roundBeside(x: number, limit: number, from: number, towards: (x: number) => number): number {
  // Sums of decimals carry errors in the last bits: they must not push 11.5 to 11.6.
  const clean = Number(x.toFixed(9));
  const side = Math.sign(clean - limit);
  for (let decimals = from; decimals <= mostDecimals; decimals++) {
    const scale = 10 ** decimals;
    const rounded = Number((towards(Number((clean * scale).toFixed(6))) / scale).toFixed(decimals));
    if (Math.sign(rounded - limit) === side) return rounded;
  }
  return clean;
}
