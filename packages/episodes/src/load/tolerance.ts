/**
 * How far two levels may differ and still be one. Follows the noise and the step of that sensor, and the level itself: a
 * suspension never returns to quite the same pressure.
 */

export interface Tolerance {
  /** Two settled levels further apart than this are two. */
  distinct(a: number, b: number): number;
  /** A single smoothed sample further from a level than this has left it. */
  readonly sample: number;
}

/** Smallest difference between two states of the fifth wheel that is looked for, by load signal (common practice). */
export const smallestTransfer = { suspensionKpa: 18, axleLoadKg: 700 } as const;

/** @param unsprung what of every level no spring carries: a suspension errs by a share of the rest */
export function tolerance(signal: keyof typeof smallestTransfer, noise: number, step: number, unsprung = 0): Tolerance {
  const floor = Math.max(smallestTransfer[signal], 4 * noise, Math.min(2 * step, 25));
  const sigma = Math.max(noise, Math.min(step, 12) / 2, smallestTransfer[signal] / 12);
  return {
    distinct: (a, b) => Math.max(floor, 0.09 * (Math.max(Math.abs(a), Math.abs(b)) - unsprung)),
    sample: 3 * sigma,
  };
}
