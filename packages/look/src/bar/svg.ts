/**
 * The evidence bar as an SVG picture, for the console and the printed packet. Inline, without ids, styles or scripts, so that many
 * may stand on one page under a strict content policy. Ink comes from the page's custom properties (`--missed`, `--rule`) and from
 * the text's own colour; what is proven differs by shape, so it prints in black. Lengths in px of the picture's own grid.
 */
import { type BarPlaces, placeBar } from './bar.ts';
import type { CheckBar } from './check-bar.ts';

const height = 46;
const top = 20;
const bottom = 32;
const axis = (top + bottom) / 2;
const least = 4;
const gap = 3;
/** Room at both ends for the label of an end and for half a label of the limit. */
const side = 4;
/** Width of a character of a label, about. */
const characterWidth = 6.6;

/** The picture, `width` px wide unless the page says otherwise. */
export function svgBar(bar: CheckBar, width = 300): string {
  const length = width - 2 * side;
  const places = placeBar(bar, length, least, gap);
  const [tick, from, to] = [side + places.tick, side + places.from, side + places.to];
  const parts = [
    `<path d="M${side} ${axis}H${from}M${to} ${axis}H${side + length}" fill="none" stroke="var(--rule, #8b8678)"/>`,
    shape(bar, from, to, places),
    ...(places.openFrom ? [arrow(from, -1)] : []),
    ...(places.openTo ? [arrow(to, 1)] : []),
    `<path d="M${tick} ${top - 7}V${bottom + 5}" fill="none" stroke="currentColor" stroke-width="2"/>`,
    label(side, bottom + 13, 'start', bar.labels.from),
    label(side + length, bottom + 13, 'end', bar.labels.to),
    ...(bar.labels.limit === null
      ? []
      : [label(limitAt(tick, bar.labels.limit, width), 10, 'middle', bar.labels.limit)]),
  ];
  const said = escapeXml(bar.said);
  return `<svg viewBox="0 0 ${width} ${height}" width="${width}" height="${height}" role="img" aria-label="${said}" font-size="12" font-family="inherit">${parts.join('')}</svg>`;
}

function shape(bar: CheckBar, from: number, to: number, { openFrom, openTo }: BarPlaces): string {
  if (bar.proof === 'past') return `<path d="M${from} ${top}H${to}V${bottom}H${from}Z" fill="var(--missed, #9c2f1b)"/>`;
  // Both long sides, and the short ones where something bounds the figure.
  const ends = `${openFrom ? '' : `M${from} ${top}V${bottom}`}${openTo ? '' : `M${to} ${top}V${bottom}`}`;
  const frame = `M${from} ${top}H${to}M${from} ${bottom}H${to}${ends}`;
  const [inside, weight] = bar.proof === 'within' ? ['', 1.5] : [hatching(from, to), 1];
  return `<path d="${frame}${inside}" fill="none" stroke="currentColor" stroke-width="${weight}" stroke-linecap="square"/>`;
}

/** Strokes rising to the right, 5 px apart, each cut off at the ends of the bar. */
function hatching(from: number, to: number): string {
  const rise = bottom - top;
  let strokes = '';
  for (let foot = from - rise + 5; foot < to; foot += 5) {
    const [left, right] = [Math.max(from, foot), Math.min(to, foot + rise)];
    strokes += `M${left} ${bottom - (left - foot)}L${right} ${bottom - (right - foot)}`;
  }
  return strokes;
}

/** The open end of a bar that nothing bounds. */
function arrow(x: number, direction: 1 | -1): string {
  return `<path d="M${x - 5 * direction} ${top - 3}L${x + 2 * direction} ${axis}L${x - 5 * direction} ${bottom + 3}" fill="none" stroke="currentColor" stroke-width="2"/>`;
}

/** Where a label is centred so that it stays within the picture. */
function limitAt(tick: number, text: string, width: number): number {
  const half = (text.length * characterWidth) / 2;
  return Math.round(Math.min(width - half, Math.max(half, tick)));
}

function label(x: number, y: number, anchor: 'start' | 'middle' | 'end', text: string): string {
  return `<text x="${x}" y="${y}" text-anchor="${anchor}" fill="currentColor">${escapeXml(text)}</text>`;
}

/** Text as it may stand in an element or a quoted attribute, in XML and HTML. */
export function escapeXml(text: string): string {
  return text.replace(/[&<>"']/g, (character) => `&#${character.charCodeAt(0)};`);
}
