/**
 * Two-sided tabular CUSUM: sums of what lies beyond an allowance above and below a target, which signal a lasting shift
 * long before any single sample would.
 *
 *     high = max(0, high + x - target - allowance)      low = max(0, low + target - allowance - x)
 *
 * A signal is a sum strictly above the limit. Everything is in the unit of the samples. The sums go on after a signal;
 * whether to start again is the caller's decision. One small mutable state a stream, no allocation in a step.
 * Source: NIST/SEMATECH e-Handbook of Statistical Methods, section 6.3.2.3; the head start is that of Lucas and Crosier
 * (1982).
 */

export interface CusumDesign {
  /** Level that holds while nothing has happened. */
  readonly target: number;
  /** k: what a sample may be off before it counts; half of the shift to be found quickly. */
  readonly allowance: number;
  /** h: a sum above this signals. */
  readonly limit: number;
  /** Fast initial response: both sums start here instead of at 0; half of the limit is usual. Defaults to 0. */
  readonly headStart?: number;
}

export interface CusumState {
  high: number;
  low: number;
  /** Samples since the sum was last 0: where the shift that it shows began. */
  highRun: number;
  lowRun: number;
}

export type CusumSignal = 'high' | 'low' | null;

export function startCusum(design: CusumDesign): CusumState {
  const head = design.headStart ?? 0;
  return { high: head, low: head, highRun: 0, lowRun: 0 };
}

/**
 * Takes one sample (not NaN) into the state and says whether a sum is above the limit; where both are, which a head start
 * above the limit makes possible, the larger one.
 */
export function stepCusum(design: CusumDesign, state: CusumState, sample: number): CusumSignal {
  const off = sample - design.target;
  const high = state.high + off - design.allowance;
  const low = state.low - off - design.allowance;
  state.high = Math.max(0, high);
  state.low = Math.max(0, low);
  state.highRun = high > 0 ? state.highRun + 1 : 0;
  state.lowRun = low > 0 ? state.lowRun + 1 : 0;
  if (state.high > design.limit && state.high >= state.low) return 'high';
  return state.low > design.limit ? 'low' : null;
}

export interface CusumTrace {
  /** Sums after each sample. */
  readonly high: Float64Array;
  readonly low: Float64Array;
  /** Indices (0-based) of the samples at which a sum was above the limit. */
  readonly signals: readonly number[];
}

/** A whole series through {@link stepCusum}. */
export function traceCusum(design: CusumDesign, samples: ArrayLike<number>): CusumTrace {
  const state = startCusum(design);
  const high = new Float64Array(samples.length);
  const low = new Float64Array(samples.length);
  const signals: number[] = [];
  for (let i = 0; i < samples.length; i += 1) {
    if (stepCusum(design, state, samples[i]) !== null) signals.push(i);
    high[i] = state.high;
    low[i] = state.low;
  }
  return { high, low, signals };
}
