/**
 * Fair rates of many small groups: each is drawn towards the rate of all by as much as its own exposure fails to speak for
 * it. A driver seen five times is not put above one seen five hundred times.
 *
 * Events of group i are Poisson with mean exposure_i times a rate from a gamma distribution, whose shape and rate are fitted to all
 * groups by maximum likelihood. Source: D. Clayton and J. Kaldor 1987, Biometrics 43:671-681.
 */
import gammaln from '@stdlib/math-base-special-gammaln';
import gammaQuantile from '@stdlib/stats-base-dists-gamma-quantile';
import type { Bounds, Exposed } from './counts.ts';

/** How rates are spread over the groups. */
export interface Spread {
  readonly shape: number;
  /** In the unit of the exposure. */
  readonly rate: number;
  readonly logLikelihood: number;
}

export interface ShrunkRate extends Bounds {
  readonly rate: number;
}

/** Shapes tried: from rates all over the place to as good as equal. */
const logShapes: Bounds = { low: Math.log(1e-3), high: Math.log(1e4) };

/**
 * The spread that explains the groups best; null where they cannot tell: fewer than two groups with exposure, or no event.
 */
export function fitSpread(groups: readonly Exposed[]): Spread | null {
  const exposed = groups.filter(({ exposure }) => exposure > 0);
  if (exposed.length < 2 || exposed.every(({ count }) => count === 0)) return null;
  const logShape = highest(logShapes, (value) => logLikelihood(exposed, Math.exp(value)));
  const shape = Math.exp(logShape);
  return { shape, rate: bestRate(exposed, shape), logLikelihood: logLikelihood(exposed, shape) };
}

/** The rate of one group given how all are spread, with the interval that holds `confidence` of the gamma distribution. */
export function shrunkRate({ count, exposure }: Exposed, spread: Spread, confidence = 0.95): ShrunkRate {
  const shape = count + spread.shape;
  const rate = exposure + spread.rate;
  const tail = (1 - confidence) / 2;
  return {
    rate: shape / rate,
    low: gammaQuantile(tail, shape, rate),
    high: gammaQuantile(1 - tail, shape, rate),
  };
}

/** For a shape, the likelihood at the rate that suits it best. */
function logLikelihood(groups: readonly Exposed[], shape: number): number {
  const rate = bestRate(groups, shape);
  let sum = 0;
  for (const { count, exposure } of groups) {
    sum += gammaln(count + shape) - gammaln(shape) - gammaln(count + 1);
    sum += shape * Math.log(rate / (rate + exposure)) + count * Math.log(exposure / (rate + exposure));
  }
  return sum;
}

/** Where the likelihood's slope in the rate is 0: it falls through 0 once. */
function bestRate(groups: readonly Exposed[], shape: number): number {
  const slope = (rate: number) =>
    groups.reduce((sum, { count, exposure }) => sum + shape / rate - (count + shape) / (exposure + rate), 0);
  let low = -30;
  let high = 30;
  for (let step = 0; step < 200; step++) {
    const middle = (low + high) / 2;
    if (slope(Math.exp(middle)) > 0) low = middle;
    else high = middle;
  }
  return Math.exp((low + high) / 2);
}

/** Golden-section search for the highest point of a function with one hill. */
function highest({ low, high }: Bounds, f: (value: number) => number): number {
  const golden = (Math.sqrt(5) - 1) / 2;
  let [a, b] = [low, high];
  let c = b - golden * (b - a);
  let d = a + golden * (b - a);
  let fc = f(c);
  let fd = f(d);
  while (b - a > 1e-9) {
    if (fc > fd) {
      [b, d, fd] = [d, c, fc];
      c = b - golden * (b - a);
      fc = f(c);
    } else {
      [a, c, fc] = [c, d, fd];
      d = a + golden * (b - a);
      fd = f(d);
    }
  }
  return (a + b) / 2;
}
