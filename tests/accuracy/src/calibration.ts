/**
 * Whether confidence means what it says: found episodes in bins of stated probability against how many were true, and the
 * Brier score (mean squared distance of the stated probability from 0 or 1; 0 is perfect).
 */

export interface Stated {
  readonly confidence: number;
  readonly real: boolean;
}

export interface Bin {
  readonly from: number;
  /** Exclusive, but for the last. */
  readonly to: number;
  readonly count: number;
  readonly meanConfidence: number | null;
  readonly realShare: number | null;
}

const edges = [0, 0.5, 0.7, 0.8, 0.9, 0.95, 0.98, 1];

export function reliability(stated: readonly Stated[]): Bin[] {
  return edges.slice(0, -1).map((from, i) => {
    const to = edges[i + 1]!;
    const within = stated.filter((s) => s.confidence >= from && (s.confidence < to || to === 1));
    const count = within.length;
    const mean = (of: (s: Stated) => number): number | null =>
      count === 0 ? null : within.reduce((sum, s) => sum + of(s), 0) / count;
    return { from, to, count, meanConfidence: mean((s) => s.confidence), realShare: mean((s) => (s.real ? 1 : 0)) };
  });
}

/** Null where nothing was stated. */
export function brierScore(stated: readonly Stated[]): number | null {
  if (stated.length === 0) return null;
  return stated.reduce((sum, s) => sum + (s.confidence - (s.real ? 1 : 0)) ** 2, 0) / stated.length;
}
