/** One trace strip drawn by uPlot: its line, the milestones as rules as wide as they are uncertain, and the window of the check. */
import { figureText } from '@gearhold/look';
import uPlot from 'uplot';
import { clockText } from '../page/clock.ts';
import type { Strip } from './strips.ts';

export interface Mark {
  /** Seconds since the epoch. */
  readonly low: number;
  readonly high: number;
  readonly word: string;
}

export interface Drawing {
  readonly zone: string;
  readonly marks: readonly Mark[];
  readonly window: { readonly start: number; readonly end: number } | null;
  readonly syncKey: string;
  /** The first strip carries the words of the milestones, the last the clock. */
  readonly first: boolean;
  readonly last: boolean;
  readonly onCursor: (place: number | null) => void;
}

const bodyPx = 84;
const wordsPx = 34;
const clockPx = 30;

/** While a page is printed the ink is black. */
let printing = false;

export function inkFor(printed: boolean): void {
  printing = printed;
}

function ink(name: '--ink' | '--soft' | '--rule' | '--hair' | '--wash'): string {
  if (printing) return name === '--wash' || name === '--hair' ? '#dddddd' : '#000000';
  return getComputedStyle(document.documentElement).getPropertyValue(name);
}

export function drawStrip(
  place: HTMLElement,
  times: readonly number[],
  strip: Strip,
  { zone, marks, window, syncKey, first, last, onCursor }: Drawing,
): uPlot {
  const plot = new uPlot(
    {
      width: place.clientWidth,
      height: bodyPx + (first ? wordsPx : 0) + (last ? clockPx : 0),
      padding: [first ? wordsPx : 6, 28, last ? 0 : 6, 0],
      legend: { show: false },
      cursor: { sync: { key: syncKey }, drag: { x: true, y: false }, y: false },
      scales: { x: { time: true }, y: { range: rangeOf } },
      series: [
        {},
        {
          stroke: () => ink('--ink'),
          width: 1.5,
          ...(strip.stepped && { paths: uPlot.paths.stepped!({ align: 1 }) }),
          points: { size: 4, stroke: () => ink('--ink'), fill: () => ink('--ink') },
        },
      ],
      axes: [
        {
          show: last,
          size: clockPx,
          space: 90,
          stroke: () => ink('--soft'),
          grid: { stroke: () => ink('--hair'), width: 1 },
          ticks: { stroke: () => ink('--rule'), width: 1 },
          values: (_, splits) => splits.map((at) => clockText(at * 1000, zone)),
        },
        {
          size: 56,
          space: 24,
          stroke: () => ink('--soft'),
          grid: { stroke: () => ink('--hair'), width: 1 },
          ticks: { show: false },
          ...(strip.signal === 'parkingBrake' && {
            splits: () => [0, 1],
            values: () => ['off', 'set'],
          }),
          ...(strip.signal === 'gear' && { incrs: [1, 2, 5, 10, 20, 50] }),
          ...(strip.signal !== 'parkingBrake' && { values: (_: uPlot, splits: number[]) => splits.map(figureText) }),
        },
      ],
      hooks: {
        drawClear: [(u) => window !== null && drawWindow(u, window)],
        draw: [(u) => drawMarks(u, marks, first)],
        setCursor: [(u) => onCursor(u.cursor.idx ?? null)],
      },
    },
    [times as number[], strip.values as number[]],
    place,
  );
  return plot;
}

function rangeOf(_: uPlot, min: number | null, max: number | null): [number, number] {
  const [low, high] = [Math.min(0, min ?? 0), Math.max(1, max ?? 1)];
  const room = (high - low) * 0.08;
  return [low < 0 ? low - room : low - room / 2, high + room];
}

function at(u: uPlot, seconds: number): number {
  const { left, width } = u.bbox;
  return Math.min(left + width, Math.max(left, u.valToPos(seconds, 'x', true)));
}

/** The window of the check: a wash, and a bracket at its foot. */
function drawWindow(u: uPlot, { start, end }: { start: number; end: number }): void {
  const { ctx, bbox } = u;
  const [from, to] = [at(u, start), at(u, end)];
  const foot = bbox.top + bbox.height;
  const px = devicePixelRatio;
  ctx.save();
  ctx.fillStyle = ink('--wash');
  ctx.fillRect(from, bbox.top, Math.max(px, to - from), bbox.height);
  ctx.strokeStyle = ink('--ink');
  ctx.lineWidth = 2 * px;
  ctx.beginPath();
  ctx.moveTo(from, foot - 6 * px);
  ctx.lineTo(from, foot);
  ctx.lineTo(to, foot);
  ctx.lineTo(to, foot - 6 * px);
  ctx.stroke();
  ctx.restore();
}

function drawMarks(u: uPlot, marks: readonly Mark[], words: boolean): void {
  const { ctx, bbox } = u;
  const px = devicePixelRatio;
  ctx.save();
  ctx.font = `${12 * px}px system-ui, sans-serif`;
  ctx.textBaseline = 'alphabetic';
  const ends = [Number.NEGATIVE_INFINITY, Number.NEGATIVE_INFINITY];
  const { min, max } = u.scales.x!;
  for (const { low, high, word } of marks) {
    if (high < min! || low > max!) continue;
    const [from, to] = [at(u, low), at(u, high)];
    ctx.fillStyle = ink('--soft');
    ctx.globalAlpha = 0.28;
    ctx.fillRect(from, bbox.top, Math.max(px, to - from), bbox.height);
    ctx.globalAlpha = 1;
    ctx.fillRect((from + to) / 2 - px / 2, bbox.top, px, bbox.height);
    if (!words) continue;
    // The upper row of words where the lower one has no room left; none where neither has.
    const row = ends.findIndex((end) => end < from);
    if (row === -1) continue;
    ctx.fillStyle = ink('--ink');
    const width = ctx.measureText(word).width;
    const x = Math.min(from, bbox.left + bbox.width - width);
    ctx.fillText(word, x, bbox.top - (row === 0 ? 4 : 19) * px);
    ends[row] = x + width + 8 * px;
  }
  ctx.restore();
}
