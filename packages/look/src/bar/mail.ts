/**
 * The evidence bar for HTML mail: table cells of stated widths and their borders, nothing else. Mail programs drop pictures, styles
 * of their own classes and backgrounds; borders they keep, and print, and turn with their dark mode. So a solid bar is one thick
 * border, an outline is a thin one, hatching is strokes of text in a thin frame: with every colour gone the three still differ.
 *
 * Classes `bar-missed` and `bar-ink` name the two inks for a style sheet with a dark variant; where it is dropped, the colours in
 * place hold on a light ground. Lengths in px.
 */
import { type BarPlaces, placeBar } from './bar.ts';
import type { CheckBar } from './check-bar.ts';
import { escapeXml } from './svg.ts';

export interface MailInk {
  readonly ink: string;
  readonly soft: string;
  readonly rule: string;
  readonly missed: string;
}

const barHeight = 12;
const least = 6;
const gap = 3;
const tickWidth = 2;
/** The tick stands out over the bar. */
const rowHeight = 16;
/** An arrow at the end of the scale: short enough to leave room for a tick beside it. */
const arrowWidth = 7;
/** Room for the label of the limit. */
const labelWidth = 80;
/** A stroke of hatching: its advance at 10 px of a sans face is about 3 px; a little room keeps it within the frame. */
const strokeWidth = 3.4;

/** The bar as a table, `width` px wide. */
export function mailBar(bar: CheckBar, width: number, inks: MailInk): string {
  const places = placeBar(bar, width, least, gap);
  const said = escapeXml(bar.said);
  const rows = [limitRow(bar, places.tick, width, inks), scaleRow(bar, places, width, inks), endsRow(bar, width, inks)];
  return `<div role="img" aria-label="${said}" style="width:${width}px;max-width:100%;margin:6px 0 2px">${rows.join('')}</div>`;
}

function row(width: number, cells: string): string {
  return `<table role="presentation" aria-hidden="true" cellpadding="0" cellspacing="0" border="0" width="${width}" style="width:${width}px;table-layout:fixed;border-collapse:separate"><tr>${cells}</tr></table>`;
}

/** The limit's label, over its tick; beside it near the ends of the scale. */
function limitRow(bar: CheckBar, tick: number, width: number, { ink }: MailInk): string {
  if (bar.labels.limit === null) return '';
  const half = labelWidth / 2;
  const [before, wide, align] =
    tick < half
      ? [tick, width - tick, 'left']
      : tick > width - half
        ? [0, tick + tickWidth, 'right']
        : [tick + tickWidth / 2 - half, labelWidth, 'center'];
  const style = `padding:0;font-size:12px;line-height:15px;color:${ink};white-space:nowrap`;
  const cells = [
    spacer(before),
    `<td class="bar-ink" width="${wide}" align="${align}" style="${style}">${unbroken(bar.labels.limit)}</td>`,
  ];
  return row(width, `${cells.join('')}${spacer(width - before - wide)}`);
}

function spacer(wide: number): string {
  return wide > 0 ? `<td width="${wide}" style="padding:0;font-size:0"></td>` : '';
}

function unbroken(label: string): string {
  return escapeXml(label).replaceAll(' ', '&nbsp;');
}

interface Stretch {
  readonly from: number;
  readonly to: number;
  readonly kind: 'axis' | 'bar' | 'tick' | 'openFrom' | 'openTo';
}

/** The scale from left to right: what lies where. The tick stands on top of a bar that reaches across it. */
function stretches({ tick, from, to, openFrom, openTo }: BarPlaces, width: number): Stretch[] {
  const tickTo = tick + tickWidth;
  const ends = [openFrom ? arrowWidth : 0, openTo ? width - arrowWidth : width] as const;
  const cuts = [...new Set([0, from, to, tick, tickTo, width, ...ends])]
    .filter((x) => x <= width)
    .sort((a, b) => a - b);
  return cuts.slice(0, -1).map((start, i) => {
    const end = cuts[i + 1]!;
    if (start >= tick && end <= tickTo) return { from: start, to: end, kind: 'tick' };
    if (end <= ends[0]) return { from: start, to: end, kind: 'openFrom' };
    if (start >= ends[1]) return { from: start, to: end, kind: 'openTo' };
    return { from: start, to: end, kind: start >= from && end <= to ? 'bar' : 'axis' };
  });
}

function scaleRow(bar: CheckBar, places: BarPlaces, width: number, inks: MailInk): string {
  const cells = stretches(places, width).map(({ from, to, kind }) => {
    const wide = to - from;
    if (kind === 'tick') return cell(wide, '', '', tickMark(inks));
    if (kind === 'openFrom') return cell(wide, '', '', arrow('&#9666;', inks));
    if (kind === 'openTo') return cell(wide, '', '', arrow('&#9656;', inks));
    if (kind === 'axis')
      return cell(wide, 'bar-rule', `border-bottom:1px solid ${inks.rule};height:${rowHeight - 1}px`, '');
    if (bar.proof === 'past') return cell(wide, '', '', solid(inks));
    const ends = { left: from === places.from, right: to === places.to };
    return cell(wide, '', '', frame(bar.proof === 'within', wide, ends, inks));
  });
  return row(width, cells.join(''));
}

/** The end of a bar that nothing bounds. */
function arrow(character: string, { ink }: MailInk): string {
  return `<div class="bar-ink" style="font-size:11px;line-height:${barHeight}px;color:${ink}">${character}</div>`;
}

/** The limit: a thick border to the left of nothing, taller than the bar. */
function tickMark({ ink }: MailInk): string {
  return `<div class="bar-ink" style="border-left:${tickWidth}px solid ${ink};width:0;height:${rowHeight}px;line-height:${rowHeight}px;font-size:0">&nbsp;</div>`;
}

/** Proven past the limit: nothing but its thick upper border. */
function solid({ missed }: MailInk): string {
  return `<div class="bar-missed" style="border-top:${barHeight}px solid ${missed};height:0;line-height:0;font-size:0">&nbsp;</div>`;
}

/** Within the limit: a frame. Not proven: a thin frame with strokes in it. An end that is not the bar's own has no side. */
function frame(
  outline: boolean,
  wide: number,
  ends: { readonly left: boolean; readonly right: boolean },
  { ink }: MailInk,
): string {
  const line = outline ? `2px solid ${ink}` : `1px solid ${ink}`;
  const edge = outline ? 2 : 1;
  const sides = [...(ends.left ? [`border-left:${line}`] : []), ...(ends.right ? [`border-right:${line}`] : [])];
  const strokes = outline ? '' : '/'.repeat(Math.max(1, Math.floor((wide - 2) / strokeWidth)));
  const inner = [
    `border-top:${line};border-bottom:${line}`,
    ...sides,
    `height:${barHeight - 2 * edge}px;line-height:${barHeight - 2 * edge}px;font-size:10px;overflow:hidden;white-space:nowrap;color:${ink}`,
  ].join(';');
  return `<div class="bar-ink" style="${inner}">${strokes || '&nbsp;'}</div>`;
}

function cell(wide: number, name: string, style: string, content: string): string {
  const named = name === '' ? '' : ` class="${name}"`;
  return `<td${named} width="${wide}" valign="bottom" style="height:${rowHeight}px;padding:0;font-size:0;line-height:0;${style}">${content}</td>`;
}

function endsRow(bar: CheckBar, width: number, { soft }: MailInk): string {
  const style = `font-size:12px;line-height:16px;color:${soft}`;
  return row(
    width,
    `<td class="soft" align="left" style="${style}">${unbroken(bar.labels.from)}</td><td class="soft" align="right" style="${style}">${unbroken(bar.labels.to)}</td>`,
  );
}
