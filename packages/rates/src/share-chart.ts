/**
 * Change over time: a control chart of a share, one point a period, each with limits by its own size. What lies within the limits
 * is what chance alone does to a steady share.
 *
 * Source: p-chart, NIST/SEMATECH e-Handbook of Statistical Methods, section 6.3.3.2.
 */

export interface ChartPoint {
  readonly count: number;
  readonly of: number;
}

export interface ChartedPoint extends ChartPoint {
  /** NaN of nothing. */
  readonly share: number;
  /** Three standard deviations around the centre, cut off at 0 and 1. */
  readonly low: number;
  readonly high: number;
  /** Beyond the limits, not on them. */
  readonly out: 'above' | 'below' | null;
}

export interface ShareChart {
  /** Share over all points; NaN of nothing. */
  readonly centre: number;
  readonly points: readonly ChartedPoint[];
}

export function shareChart(points: readonly ChartPoint[]): ShareChart {
  const count = points.reduce((sum, point) => sum + point.count, 0);
  const of = points.reduce((sum, point) => sum + point.of, 0);
  const centre = count / of;
  return {
    centre,
    points: points.map((point) => {
      const reach = 3 * Math.sqrt((centre * (1 - centre)) / point.of);
      const low = point.of === 0 ? 0 : Math.max(0, centre - reach);
      const high = point.of === 0 ? 1 : Math.min(1, centre + reach);
      const share = point.count / point.of;
      return { ...point, share, low, high, out: share > high ? 'above' : share < low ? 'below' : null };
    }),
  };
}
