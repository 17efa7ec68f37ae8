/**
 * Two lists of instants paired one to one: what somebody wrote down, and what was seen. A pair lies no further apart than a
 * window; of all such pairings the one is taken that costs least, where a pair costs its distance and whatever stays alone
 * costs half the window. So two are paired only where that is nearer than the window, and a near pair is not given up for two
 * far ones. Exact, by dynamic programming in time order: pairs of a least-cost pairing need never cross.
 */

export interface Pairing {
  /** Places in the two lists, in time order. */
  readonly pairs: readonly (readonly [a: number, b: number])[];
  /** Places that stayed alone, ascending. */
  readonly aloneA: readonly number[];
  readonly aloneB: readonly number[];
}

/**
 * @param a ms, ascending
 * @param b ms, ascending
 * @param windowMs furthest that two of a pair may lie apart, above 0
 */
export function pairInTime(a: readonly number[], b: readonly number[], windowMs: number): Pairing {
  const pairs: [number, number][] = [];
  for (const { fromA, toA, fromB, toB } of clusters(a, b, windowMs)) {
    for (const [i, j] of paired(a.slice(fromA, toA), b.slice(fromB, toB), windowMs)) pairs.push([fromA + i, fromB + j]);
  }
  const takenA = new Set(pairs.map(([i]) => i));
  const takenB = new Set(pairs.map(([, j]) => j));
  return {
    pairs,
    aloneA: [...a.keys()].filter((i) => !takenA.has(i)),
    aloneB: [...b.keys()].filter((j) => !takenB.has(j)),
  };
}

interface Cluster {
  readonly fromA: number;
  readonly toA: number;
  readonly fromB: number;
  readonly toB: number;
}

/** Stretches with more than a window between them: no pair reaches from one to the next. */
function* clusters(a: readonly number[], b: readonly number[], windowMs: number): Generator<Cluster> {
  let [i, j] = [0, 0];
  while (i < a.length || j < b.length) {
    const [fromA, fromB] = [i, j];
    let last = Math.min(a[i] ?? Number.POSITIVE_INFINITY, b[j] ?? Number.POSITIVE_INFINITY);
    for (;;) {
      const next = Math.min(a[i] ?? Number.POSITIVE_INFINITY, b[j] ?? Number.POSITIVE_INFINITY);
      if (next === Number.POSITIVE_INFINITY || next - last > windowMs) break;
      last = next;
      if (a[i] === next) i += 1;
      else j += 1;
    }
    if (i > fromA && j > fromB) yield { fromA, toA: i, fromB, toB: j };
  }
}

const pair = 1;
const skipA = 2;
const skipB = 3;

/** Of equal costs the pairing is taken that pairs more, then the one that pairs the earlier. */
function paired(a: readonly number[], b: readonly number[], windowMs: number): [number, number][] {
  const width = b.length + 1;
  const alone = windowMs / 2;
  const choice = new Uint8Array((a.length + 1) * width);
  // Cost of the best pairing of what comes from place i of `a` and j of `b`: two rows at a time, from the end.
  let after = Float64Array.from({ length: width }, (_, j) => (b.length - j) * alone);
  choice.fill(skipB, a.length * width, a.length * width + b.length);
  for (let i = a.length - 1; i >= 0; i--) {
    const here = new Float64Array(width);
    here[b.length] = (a.length - i) * alone;
    choice[i * width + b.length] = skipA;
    for (let j = b.length - 1; j >= 0; j--) {
      const apart = Math.abs(a[i]! - b[j]!);
      const together = apart <= windowMs ? apart + after[j + 1]! : Number.POSITIVE_INFINITY;
      const withoutA = alone + after[j]!;
      const withoutB = alone + here[j + 1]!;
      const best = Math.min(together, withoutA, withoutB);
      here[j] = best;
      choice[i * width + j] = best === together ? pair : best === withoutA ? skipA : skipB;
    }
    after = here;
  }
  const pairs: [number, number][] = [];
  for (let i = 0, j = 0; i < a.length && j < b.length; ) {
    const chosen = choice[i * width + j];
    if (chosen === pair) pairs.push([i, j]);
    if (chosen !== skipB) i += 1;
    if (chosen !== skipA) j += 1;
  }
  return pairs;
}
