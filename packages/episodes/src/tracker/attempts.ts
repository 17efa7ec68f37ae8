/**
 * Attempts: backed under a trailer and it did not hold. The load came on while backing and went off again, and the truck was
 * as bobtail afterwards as before. An attempt does not survive some metres of travel.
 */
import type { Move } from '../motion/moves.ts';
import type { Anchor } from './anchors.ts';
import type { Resolution } from './resolve.ts';
import type { Scene } from './scene.ts';
import { placeChange, type Transfer, type Weighed } from './transfer.ts';

export interface AttemptFinding {
  readonly kind: 'attempt';
  readonly transfer: Transfer;
  readonly backing: Move;
  readonly weighed: Weighed;
}

/** Smallest share of a known trailer's load, or of the bobtail level, that a failed attempt must have put on. */
const leastShare = 0.35;

export function findAttempts(scene: Scene, opening: Anchor, resolution: Resolution): AttemptFinding[] {
  const { series, tolerance } = scene;
  const { bobtail } = scene.levels;
  const found: AttemptFinding[] = [];
  const final = resolution.findings.find((finding) => finding.kind === 'coupling');
  const low = final?.transfer.from ?? opening.level;
  if (bobtail !== null && low - bobtail > tolerance.distinct(low, bobtail)) return found;
  if (final === undefined && resolution.coupled === 'on') return found;
  const untilMs = final?.transfer.onset.low ?? Infinity;
  const enough = low + Math.max(tolerance.distinct(low, low), leastShare * scene.sprung(bobtail ?? low));
  for (const move of scene.moves) {
    if (
      move.kind !== 'reverse' ||
      move.end.best < opening.toMs ||
      move.start.best >= untilMs ||
      move === final?.backing
    )
      continue;
    const next = scene.moves.find((m) => m.kind === 'forward' && m.start.best > move.end.best);
    if (next === undefined) continue;
    const from = series.indexAt(move.start.best);
    const to = Math.min(series.length, series.indexAt(next.end.best + 30_000));
    let peak = -1;
    for (let i = from; i < to && series.times[i] < untilMs; i++)
      if (peak < 0 || series.smooth[i] > series.smooth[peak]) peak = i;
    if (peak < 0 || series.smooth[peak] < enough) continue;
    const placed = placeChange(scene, low, series.smooth[peak], Math.max(0, from - 1), peak);
    if (placed === null || placed.onset.low > move.end.high + 6000) continue;
    let back = false;
    for (let i = peak; i < series.length && series.times[i] < Math.min(untilMs + 1, next.end.best + 120_000); i++) {
      if (series.smooth[i] < low + 0.4 * (enough - low)) back = true;
    }
    if (!back) continue;
    const transfer: Transfer = {
      from: low,
      to: series.smooth[peak],
      time: placed.time,
      onset: placed.onset,
      before: opening,
      after: opening,
    };
    found.push({
      kind: 'attempt',
      transfer,
      backing: move,
      weighed: { confidence: bobtail === null ? 0.6 : 0.85, teaches: false },
    });
  }
  return found;
}
