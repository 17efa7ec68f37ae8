/**
 * How far the tractor has come out from under the trailer's nose by an instant after the pull: metres since release, at
 * least and at most. The plate is off at most 2.5 m after the pull begins, whatever the pressure still does.
 */
import type { Evidence, Interval } from '@gearhold/episodes';
import { leastMetres, mostMetres } from './travel.ts';

/** Farthest that the plate stays under the trailer's nose, m of pull (contract). */
const plateOffMetres = 2.5;

export interface Pull {
  readonly pullOut: Interval;
  readonly release: Interval | null;
}

/** Least travel after release by `atMs`, m. Reversing in between takes away from it. */
export function leastSinceRelease(evidence: Evidence, pull: Pull, atMs: number): number {
  const sincePull = leastMetres(evidence, pull.pullOut.high, atMs) - plateOffMetres;
  const sinceRelease =
    pull.release === null ? 0 : leastMetres(evidence, Math.max(pull.release.high, pull.pullOut.high), atMs);
  return Math.max(0, Math.max(sincePull, sinceRelease) - 2 * reversed(evidence, pull.pullOut.low, atMs));
}

/** Greatest travel after release by `atMs`, m. */
export function mostSinceRelease(evidence: Evidence, pull: Pull, atMs: number): number {
  const from = Math.max(pull.pullOut.low, pull.release?.low ?? pull.pullOut.low);
  return Math.max(mostMetres(evidence, from, atMs), leastSinceRelease(evidence, pull, atMs));
}

function reversed(evidence: Evidence, fromMs: number, toMs: number): number {
  let metres = 0;
  for (const run of evidence.runs) {
    if (run.kind !== 'reverse' || run.end.high <= fromMs || run.start.low >= toMs) continue;
    metres += mostMetres(evidence, Math.max(fromMs, run.start.low), Math.min(toMs, run.end.high));
  }
  return metres;
}
