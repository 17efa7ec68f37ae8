/**
 * How far the tractor has come out from under the trailer's nose by an instant after the pull: metres since release, at
 * least and at most. The plate is off at most 2.5 m after the pull begins, whatever the pressure still does.
 */
import type { Evidence, Interval } from '@gearhold/episodes';
import { lastAtOrBefore, samplesOf } from './samples.ts';
import { leastMetres, mostMetres } from './travel.ts';

/** Farthest that the plate stays under the trailer's nose, m of pull (contract). */
const plateOffMetres = 2.5;

export interface Pull {
  readonly pullOut: Interval;
  readonly release: Interval | null;
  /** Last sample that shows the trailer still resting on the fifth wheel, or null. */
  readonly lastRestingMs?: number | null;
}

/** Forward movement of less is slack, m (contract). */
const slackMetres = 0.3;
/** How exactly the instant is looked for, ms. */
const nearMs = 10;

/**
 * Earliest instant by which the tractor may have moved by more than slack since the pull may have begun. Where samples are too far
 * apart to show that it did not, it may have done so at once.
 */
export function pastSlackMs(evidence: Evidence, { pullOut }: Pull): number {
  const speed = samplesOf(evidence, 'speedKph');
  let before = pullOut.low;
  for (let i = lastAtOrBefore(speed, before); i >= 0 && i + 1 < speed.times.length; i++) {
    if (speed.times[i + 1]! - speed.times[i]! > speed.proofGapMs) return before;
    let after = speed.times[i + 1]!;
    if (mostMetres(evidence, pullOut.low, after) < slackMetres) {
      before = after;
      continue;
    }
    while (after - before > nearMs) {
      const middle = (before + after) / 2;
      if (mostMetres(evidence, pullOut.low, middle) < slackMetres) before = middle;
      else after = middle;
    }
    return before;
  }
  return before;
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
  const from = Math.max(
    pull.pullOut.low,
    pull.release?.low ?? pull.pullOut.low,
    pull.lastRestingMs ?? pull.pullOut.low,
  );
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
