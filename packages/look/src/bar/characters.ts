/**
 * The evidence bar as characters, for a terminal and for the text of a mail. It reads without colour.
 *
 *                          30 s                                    2 %
 *     0 ├███┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┃┄┄┄┄┄┄┄┄┤ 45 s            0 ├┄┃╞════▸┄┄┄┄┄┤ 20 %
 *
 * Lines keep to `width` columns as long as the labels leave twelve cells for the scale. What is past or within the limit never
 * touches the tick, however close the figures are, so that the drawing never says less, or more, than the verdict.
 */
import { type EvidenceBar, type Scale, usualScale } from './bar.ts';

/** The characters of one drawing. */
export interface Ink {
  readonly axis: string;
  readonly left: string;
  readonly right: string;
  readonly tick: string;
  readonly solid: string;
  readonly hatch: string;
  readonly outline: string;
  readonly outlineLeft: string;
  readonly outlineRight: string;
  readonly openLeft: string;
  readonly openRight: string;
}

export const unicodeInk: Ink = {
  axis: '┄',
  left: '├',
  right: '┤',
  tick: '┃',
  solid: '█',
  hatch: '╱',
  outline: '═',
  outlineLeft: '╞',
  outlineRight: '╡',
  openLeft: '◂',
  openRight: '▸',
};

/** For terminals that have only ASCII. */
export const asciiInk: Ink = {
  axis: '.',
  left: '|',
  right: '|',
  tick: '!',
  solid: '#',
  hatch: '/',
  outline: '=',
  outlineLeft: '[',
  outlineRight: ']',
  openLeft: '<',
  openRight: '>',
};

/** Cells of the scale itself where the labels take all the width. */
const fewestCells = 12;

/** The bar as one or two lines: the limit's label over its tick, where there is one, then the scale. */
export function drawEvidenceBar(bar: EvidenceBar, width: number, ink: Ink = unicodeInk): string[] {
  const scale = bar.scale ?? usualScale(bar.low, bar.high, bar.limit.value);
  const before = bar.labels.from === '' ? '' : `${bar.labels.from} `;
  const after = bar.labels.to === '' ? '' : ` ${bar.labels.to}`;
  const cells = Math.max(fewestCells, width - before.length - after.length - 2);
  const tick = cellOf(bar.limit.value, scale, cells);
  const line = `${before}${ink.left}${drawCells(bar, scale, cells, tick, ink).join('')}${ink.right}${after}`;
  if (bar.labels.limit === null) return [line];
  return [labelOver(before.length + 1 + tick, bar.labels.limit, Math.max(width, line.length)), line];
}

function drawCells(bar: EvidenceBar, scale: Scale, cells: number, tick: number, ink: Ink): string[] {
  const out = Array<string>(cells).fill(ink.axis);
  out[tick] = ink.tick;
  const { first, last } = extent(bar, scale, cells, tick);
  if (first > last) return out;
  const fill = bar.proof === 'past' ? ink.solid : bar.proof === 'within' ? ink.outline : ink.hatch;
  for (let cell = first; cell <= last; cell++) if (cell !== tick) out[cell] = fill;
  if (bar.proof === 'within' && first < last) {
    out[first] = ink.outlineLeft;
    out[last] = ink.outlineRight;
  }
  if (bar.low === null && first !== tick) out[first] = ink.openLeft;
  if (bar.high === null && last !== tick) out[last] = ink.openRight;
  return out;
}

/** First and last cell of the bar. A proven one keeps to its own side of the tick. */
function extent(bar: EvidenceBar, scale: Scale, cells: number, tick: number): { first: number; last: number } {
  let first = bar.low === null ? 0 : cellOf(bar.low, scale, cells);
  let last = bar.high === null ? cells - 1 : cellOf(bar.high, scale, cells);
  if (bar.proof === 'unproven') {
    if (first !== tick || last !== tick) return { first, last };
    return { first: Math.max(0, tick - 1), last: Math.min(cells - 1, tick + 1) };
  }
  const belowTick = (bar.proof === 'past') === (bar.limit.side === 'atLeast');
  if (belowTick) {
    last = Math.min(last, tick - 1);
    first = Math.min(first, Math.max(0, last));
  } else {
    first = Math.max(first, tick + 1);
    last = Math.max(last, Math.min(cells - 1, first));
  }
  return { first, last };
}

/** The cell that a value falls into; values beyond the scale stand in its last cell. */
function cellOf(value: number, scale: Scale, cells: number): number {
  const cell = Math.floor(((value - scale.from) / (scale.to - scale.from)) * cells);
  return Math.min(cells - 1, Math.max(0, cell));
}

/** A label centred over a column, within the width. */
function labelOver(column: number, label: string, width: number): string {
  const start = Math.max(0, Math.min(width - label.length, column - Math.floor((label.length - 1) / 2)));
  return `${' '.repeat(start)}${label}`;
}
