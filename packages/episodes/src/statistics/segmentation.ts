/**
 * Exact segmentation of a series into stretches of one level: the partition whose squared errors about the segment means
 * are smallest, either with a penalty for each break or for a fixed number of segments.
 *
 * No heuristic: the result is the optimum over all partitions (binary segmentation misses a bump whose first split does not
 * pay for itself). The penalised form forgets a start that cannot win any more, as PELT does (Killick, Fearnhead and
 * Eckley 2012), but decides it for each level apart (functional pruning: Maidstone, Hocking, Rigaill and Fearnhead 2017),
 * so that a long stretch without a break, which PELT cannot prune, takes hardly more time than a short one.
 *
 * A break is given as the 0-based index of the first sample of a segment, which is also the 1-based index of the last
 * sample of the segment before it. Costs have the squared unit of the input, times the unit of the weights.
 */

/** Running sums of a series about its own middle, so that a squared error of any stretch takes constant time. */
export interface PrefixSums {
  /** Samples. */
  readonly length: number;
  /** Taken off every value before summing, so that a large offset costs no digits. */
  readonly offset: number;
  /** Sums of weights, of weighted values and of weighted squares over the first i samples; `length + 1` entries each. */
  readonly weights: Float64Array;
  readonly sums: Float64Array;
  readonly squares: Float64Array;
}

export interface Segmentation {
  /** Index of the first sample of each segment but the first, ascending. */
  readonly breaks: readonly number[];
  /** Sum of squared errors about the segment means, without any penalty. */
  readonly cost: number;
}

/**
 * Prefix sums of a series without NaN. `weights` (positive, one a sample) count a sample more or less often; without them
 * each counts once.
 */
export function prefixSums(values: Float64Array, weights?: Float64Array): PrefixSums {
  const n = values.length;
  if (weights && weights.length !== n) {
    throw new RangeError(`prefixSums: ${n} values, but ${weights.length} weights`);
  }
  const offset = middleSample(values);
  const weightSums = new Float64Array(n + 1);
  const sums = new Float64Array(n + 1);
  const squares = new Float64Array(n + 1);
  for (let i = 0; i < n; i += 1) {
    const weight = weights ? weights[i] : 1;
    const value = values[i] - offset;
    weightSums[i + 1] = weightSums[i] + weight;
    sums[i + 1] = sums[i] + weight * value;
    squares[i + 1] = squares[i] + weight * value * value;
  }
  return { length: n, offset, weights: weightSums, sums, squares };
}

/** The sample nearest to the mean: a middle that makes the sums of a constant series exactly 0. */
function middleSample(values: Float64Array): number {
  let mean = 0;
  for (let i = 0; i < values.length; i += 1) mean += values[i] / values.length;
  let nearest = values[0] ?? 0;
  for (let i = 1; i < values.length; i += 1) {
    if (Math.abs(values[i] - mean) < Math.abs(nearest - mean)) nearest = values[i];
  }
  return nearest;
}

/** Squared error of the samples `from` (inclusive) to `to` (exclusive) about their mean; never negative. */
export function segmentCost(prefix: PrefixSums, from: number, to: number): number {
  const sum = prefix.sums[to] - prefix.sums[from];
  const cost = prefix.squares[to] - prefix.squares[from] - (sum * sum) / (prefix.weights[to] - prefix.weights[from]);
  return Math.max(cost, 0);
}

/** Weighted mean of the samples `from` (inclusive) to `to` (exclusive). */
export function segmentMean(prefix: PrefixSums, from: number, to: number): number {
  const sum = prefix.sums[to] - prefix.sums[from];
  return prefix.offset + sum / (prefix.weights[to] - prefix.weights[from]);
}

/**
 * The partition that minimises squared error + `penalty` (above 0) for each break, with segments of at least `minLength`
 * samples. A series shorter than two segments has no break. Ties are broken the same way on every machine.
 */
export function segmentByPenalty(prefix: PrefixSums, penalty: number, minLength = 1): Segmentation {
  if (!(penalty > 0)) throw new RangeError(`segmentByPenalty: penalty ${penalty} is not above 0`);
  const n = prefix.length;
  const least = checkedMinLength(minLength);
  if (n < 2 * least) return { breaks: [], cost: n === 0 ? 0 : segmentCost(prefix, 0, n) };
  const best = new Float64Array(n + 1).fill(Number.POSITIVE_INFINITY);
  best[0] = -penalty;
  const previous = new Int32Array(n + 1);
  let pieces: Piece[] = [{ start: 0, low: Number.NEGATIVE_INFINITY, high: Number.POSITIVE_INFINITY }];
  for (let end = least; end <= n; end += 1) {
    if (end >= 2 * least) pieces = withStart(prefix, best, pieces, end - least);
    let lowest = Number.POSITIVE_INFINITY;
    for (const piece of pieces) {
      const cost = best[piece.start] + segmentCost(prefix, piece.start, end);
      if (cost < lowest) {
        lowest = cost;
        previous[end] = piece.start;
      }
    }
    best[end] = lowest + penalty;
  }
  const breaks: number[] = [];
  for (let at = previous[n]; at > 0; at = previous[at]) breaks.push(at);
  breaks.reverse();
  return { breaks, cost: totalCost(prefix, breaks) };
}

/** Levels (less the offset) for which a last segment from `start` on is the best. */
interface Piece {
  readonly start: number;
  readonly low: number;
  readonly high: number;
}

/**
 * Shares the levels out anew when a last segment may also begin at `entering`. What an older start costs above the new
 * one is a parabola in the level, and stays the same whatever comes later: where it is above 0, the older one has lost
 * for good.
 */
function withStart(prefix: PrefixSums, best: Float64Array, pieces: readonly Piece[], entering: number): Piece[] {
  const { weights, sums } = prefix;
  const next: Piece[] = [];
  let given = Number.NaN;
  const give = (low: number, high: number): void => {
    if (given === low) next[next.length - 1] = { start: entering, low: next[next.length - 1].low, high };
    else next.push({ start: entering, low, high });
    given = high;
  };
  for (const piece of pieces) {
    const { start, low, high } = piece;
    const depth = best[start] + segmentCost(prefix, start, entering) - best[entering];
    if (depth >= 0) {
      give(low, high);
      continue;
    }
    const weight = weights[entering] - weights[start];
    const middle = (sums[entering] - sums[start]) / weight;
    const reach = Math.sqrt(-depth / weight);
    const from = Math.max(low, middle - reach);
    const to = Math.min(high, middle + reach);
    if (from >= to) {
      give(low, high);
      continue;
    }
    if (from > low) give(low, from);
    next.push(from === low && to === high ? piece : { start, low: from, high: to });
    given = Number.NaN;
    if (to < high) give(to, high);
  }
  return next;
}

/**
 * The best partition into exactly `segments` stretches of at least `minLength` samples. Throws where the series is too
 * short for them. Of several equally good ones, the one with the earliest last break. Cost: segments times length squared;
 * two segments take one pass.
 */
export function segmentByCount(prefix: PrefixSums, segments: number, minLength = 1): Segmentation {
  const n = prefix.length;
  const least = checkedMinLength(minLength);
  if (!(Number.isInteger(segments) && segments >= 1)) {
    throw new RangeError(`segmentByCount: ${segments} is not a number of segments`);
  }
  if (n < segments * least) {
    throw new RangeError(`segmentByCount: ${n} samples do not hold ${segments} segments of ${least}`);
  }
  let best = new Float64Array(n + 1).fill(Number.POSITIVE_INFINITY);
  for (let end = least; end <= n; end += 1) best[end] = segmentCost(prefix, 0, end);
  const previous: Int32Array[] = [];
  for (let count = 2; count <= segments; count += 1) {
    const next = new Float64Array(n + 1).fill(Number.POSITIVE_INFINITY);
    const from = new Int32Array(n + 1);
    const firstEnd = count === segments ? n : count * least;
    for (let end = firstEnd; end <= n; end += 1) {
      for (let start = (count - 1) * least; start <= end - least; start += 1) {
        const cost = best[start] + segmentCost(prefix, start, end);
        if (cost < next[end]) {
          next[end] = cost;
          from[end] = start;
        }
      }
    }
    previous.push(from);
    best = next;
  }
  const breaks: number[] = [];
  let at = n;
  for (const from of previous.reverse()) {
    at = from[at];
    breaks.push(at);
  }
  breaks.reverse();
  return { breaks, cost: totalCost(prefix, breaks) };
}

/** Squared error of a partition, summed segment by segment. */
function totalCost(prefix: PrefixSums, breaks: readonly number[]): number {
  let cost = 0;
  let from = 0;
  for (const to of [...breaks, prefix.length]) {
    cost += segmentCost(prefix, from, to);
    from = to;
  }
  return cost;
}

function checkedMinLength(minLength: number): number {
  if (!(Number.isInteger(minLength) && minLength >= 1)) {
    throw new RangeError(`segmentation: minimum length ${minLength} is not a whole number of samples from 1`);
  }
  return minLength;
}
