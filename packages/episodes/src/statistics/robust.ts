/**
 * Order statistics that one wild sample cannot move: median, MAD, quantiles, running median.
 *
 * The `InPlace` functions reorder the scratch they are given and allocate nothing, for the row path; the others copy
 * first. Inputs carry no NaN (a row that was not reported is left out by the caller): an order among NaN does not exist,
 * and the result would be meaningless. An empty input gives NaN. Results carry the unit of the input.
 */

/** Makes the MAD of a normal sample estimate its standard deviation: 1 / qnorm(3/4), as R's `mad` uses it. */
export const madToSigma = 1.4826;

/**
 * Puts the k-th smallest (0-based) of `scratch[from, to)` at `from + k` and returns it; smaller ones end before it,
 * larger ones after. Quickselect with a median-of-three pivot: linear on sorted, reversed and constant input.
 */
export function selectInPlace(scratch: Float64Array, k: number, from = 0, to = scratch.length): number {
  let left = from;
  let right = to - 1;
  const wanted = from + k;
  while (left < right) {
    const pivot = medianOfThree(scratch[left], scratch[(left + right) >> 1], scratch[right]);
    let i = left;
    let j = right;
    while (i <= j) {
      while (scratch[i] < pivot) i += 1;
      while (scratch[j] > pivot) j -= 1;
      if (i <= j) {
        const swap = scratch[i];
        scratch[i] = scratch[j];
        scratch[j] = swap;
        i += 1;
        j -= 1;
      }
    }
    if (wanted <= j) right = j;
    else if (wanted >= i) left = i;
    else break;
  }
  return scratch[wanted];
}

/** Median of three numbers; NaN where one of them is. */
export function medianOfThree(a: number, b: number, c: number): number {
  return Math.max(Math.min(a, b), Math.min(Math.max(a, b), c));
}

/** Median of `scratch[0, length)`, reordering it: the middle value, or the mean of the two middle ones. */
export function medianInPlace(scratch: Float64Array, length = scratch.length): number {
  if (length === 0) return Number.NaN;
  const half = length >> 1;
  const upper = selectInPlace(scratch, half, 0, length);
  if (length % 2 === 1) return upper;
  let lower = scratch[0];
  for (let i = 1; i < half; i += 1) if (scratch[i] > lower) lower = scratch[i];
  return lower + (upper - lower) / 2;
}

/** Median of the values, which stay as they are. */
export function median(values: ArrayLike<number>): number {
  return medianInPlace(Float64Array.from(values));
}

/**
 * Median absolute deviation about `centre`, times {@link madToSigma}, of `scratch[0, length)`. The scratch holds the
 * deviations afterwards. `centre` defaults to the median.
 */
export function madInPlace(scratch: Float64Array, length = scratch.length, centre?: number): number {
  const middle = centre ?? medianInPlace(scratch, length);
  for (let i = 0; i < length; i += 1) scratch[i] = Math.abs(scratch[i] - middle);
  return madToSigma * medianInPlace(scratch, length);
}

/** Median absolute deviation about the median, times {@link madToSigma}: a standard deviation that outliers leave alone. */
export function mad(values: ArrayLike<number>): number {
  return madInPlace(Float64Array.from(values));
}

/**
 * Quantile of `scratch[0, length)` at `share` (0 to 1), reordering it. Type 7 of Hyndman and Fan, the default of R and
 * `percentile_cont` of SQL: linear between the order statistics around `share * (length - 1)`.
 */
export function quantileInPlace(scratch: Float64Array, share: number, length = scratch.length): number {
  if (!(share >= 0 && share <= 1)) throw new RangeError(`quantile: share ${share} is not between 0 and 1`);
  if (length === 0) return Number.NaN;
  const place = share * (length - 1);
  const below = Math.floor(place);
  const value = selectInPlace(scratch, below, 0, length);
  if (place === below) return value;
  let next = Number.POSITIVE_INFINITY;
  for (let i = below + 1; i < length; i += 1) if (scratch[i] < next) next = scratch[i];
  return value + (place - below) * (next - value);
}

/** Quantile at `share` (0 to 1), type 7; the values stay as they are. */
export function quantile(values: ArrayLike<number>, share: number): number {
  return quantileInPlace(Float64Array.from(values), share);
}

/**
 * Running median over an odd `window` of samples, written to `out` (same length, not the input itself).
 *
 * Near the ends the window shrinks so that it stays symmetric; the first and the last value follow Tukey's end rule (the
 * median of the sample, its smoothed neighbour, and the line through the two neighbours continued). For a window of 3
 * this is R's `runmed` with `endrule = "median"`. Cost: length times window.
 */
export function runningMedian(
  values: Float64Array,
  window: number,
  out = new Float64Array(values.length),
): Float64Array {
  if (!(Number.isInteger(window) && window >= 1 && window % 2 === 1)) {
    throw new RangeError(`runningMedian: window ${window} is not an odd whole number`);
  }
  const n = values.length;
  const half = Math.min(window >> 1, (n - 1) >> 1);
  if (half < 1) {
    out.set(values);
    return out;
  }
  const sorted = values.slice(0, 2 * half + 1).sort();
  out[half] = sorted[half];
  for (let i = half + 1; i < n - half; i += 1) {
    replaceSorted(sorted, values[i - half - 1], values[i + half]);
    out[i] = sorted[half];
  }
  for (let i = 1; i < half; i += 1) {
    out[i] = medianInPlace(values.slice(0, 2 * i + 1));
    out[n - 1 - i] = medianInPlace(values.slice(n - 2 * i - 1));
  }
  // With three samples the smoothed neighbours on both sides are one and the same, and the line is flat.
  const second = out[1];
  const last = out[n - 2];
  out[0] = medianOfThree(values[0], second, n > 3 ? 3 * second - 2 * out[2] : second);
  out[n - 1] = medianOfThree(values[n - 1], last, n > 3 ? 3 * last - 2 * out[n - 3] : last);
  return out;
}

/** Takes `leaving` out of an ascending array and puts `entering` in, keeping it ascending. */
function replaceSorted(sorted: Float64Array, leaving: number, entering: number): void {
  let i = sorted.indexOf(leaving);
  while (i + 1 < sorted.length && sorted[i + 1] < entering) {
    sorted[i] = sorted[i + 1];
    i += 1;
  }
  while (i > 0 && sorted[i - 1] > entering) {
    sorted[i] = sorted[i - 1];
    i -= 1;
  }
  sorted[i] = entering;
}
