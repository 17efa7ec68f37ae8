/**
 * Moves: runs of movement in one direction, joined over standstills too short to be one. The contract lets a reverse run go
 * on through a standstill of less than 3 s.
 */
import type { Interval } from '../bounds/interval.ts';
import { plus } from '../bounds/interval.ts';
import type { Run, RunKind } from '../evidence.ts';

/** A standstill shorter than this does not end a run, ms (contract). */
export const shortestStandMs = 3000;

export interface Move {
  readonly kind: Exclude<RunKind, 'standing'>;
  readonly start: Interval;
  readonly end: Interval;
  readonly metres: Interval;
  readonly firstRow: number;
  readonly lastRow: number;
}

/** Joins the runs of a track into moves, in order. */
export function joinMoves(runs: readonly Run[]): Move[] {
  const moves: Move[] = [];
  for (let i = 0; i < runs.length; i++) {
    const run = runs[i];
    if (run.kind === 'standing') continue;
    const last = moves.at(-1);
    const standsBetween = last === undefined ? Infinity : run.start.best - last.end.best;
    if (last !== undefined && last.kind === run.kind && standsBetween < shortestStandMs) {
      moves[moves.length - 1] = {
        kind: last.kind,
        start: last.start,
        end: run.end,
        metres: plus(last.metres, run.metres),
        firstRow: last.firstRow,
        lastRow: run.lastRow,
      };
    } else moves.push({ ...run, kind: run.kind });
  }
  return moves;
}
