/**
 * Plain questions to the cells of a motion table: which standstills there are, how far the truck went, when it surely moved.
 * Times ms, distances m.
 */
import type { Cell } from './motion.ts';

export interface Stand {
  readonly fromMs: number;
  readonly toMs: number;
  /** First cell, and the first cell after it. */
  readonly first: number;
  readonly end: number;
}

/** Forward movement of less than this is slack, not movement. */
export const slackMetres = 0.3;

export const seconds = (stand: { readonly fromMs: number; readonly toMs: number }): number =>
  (stand.toMs - stand.fromMs) / 1000;

export const metresIn = (cell: Cell, speed: number): number => (speed * (cell.toMs - cell.fromMs)) / 1000;

/** Cell that contains an instant; the first or last where it lies outside. */
export function cellAt(cells: readonly Cell[], timeMs: number): number {
  let low = 0;
  let high = cells.length - 1;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (cells[middle].fromMs <= timeMs) low = middle;
    else high = middle - 1;
  }
  return low;
}

/**
 * End (exclusive) of the standstill that begins in a cell. `speed` says which one counts: `fastest` for a standstill that is
 * proven, `slowest` for one that is possible. A movement that comes to less than the slack does not end it.
 */
function standEnd(cells: readonly Cell[], from: number, speed: 'fastest' | 'slowest'): number {
  let end = from;
  for (;;) {
    while (end < cells.length && cells[end][speed] === 0) end += 1;
    let metres = 0;
    let next = end;
    while (next < cells.length && cells[next][speed] > 0 && metres < slackMetres) {
      metres += metresIn(cells[next], cells[next][speed]);
      next += 1;
    }
    if (next >= cells.length || metres >= slackMetres) return end;
    end = next;
  }
}

/** Every standstill of the table, in time order. */
export function stands(cells: readonly Cell[], speed: 'fastest' | 'slowest'): Stand[] {
  const found: Stand[] = [];
  for (let first = 0; first < cells.length; first++) {
    if (cells[first][speed] > 0) continue;
    const end = standEnd(cells, first, speed);
    found.push({ fromMs: cells[first].fromMs, toMs: cells[end - 1].toMs, first, end });
    first = end;
  }
  return found;
}

/** For each cell at standstill the end (exclusive) of its standstill; 0 for the others. */
export function standEnds(cells: readonly Cell[], speed: 'fastest' | 'slowest'): Int32Array {
  const ends = new Int32Array(cells.length);
  for (const stand of stands(cells, speed)) ends.fill(stand.end, stand.first, stand.end);
  return ends;
}

/** The most that may have been driven between two instants, whichever way. */
export function mostMetres(cells: readonly Cell[], fromMs: number, toMs: number): number {
  let metres = 0;
  for (let i = cellAt(cells, fromMs); i < cells.length && cells[i].fromMs < toMs; i++)
    if (cells[i].toMs > fromMs) metres += metresIn(cells[i], cells[i].fastest);
  return metres;
}

/** The least by which the truck must have come forward (or back, with `way` reverse); never below 0. */
export function leastMetres(
  cells: readonly Cell[],
  fromMs: number,
  toMs: number,
  way: 'forward' | 'reverse' = 'forward',
): number {
  const other = way === 'forward' ? 'reverse' : 'forward';
  const whole = cells.filter((cell) => cell.fromMs >= fromMs && cell.toMs <= toMs);
  const net = whole.reduce(
    (sum, cell) => sum + (cell.way === other ? -metresIn(cell, cell.fastest) : metresIn(cell, cell.slowest)),
    0,
  );
  return Math.max(0, net);
}
