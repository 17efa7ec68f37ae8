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

/** The limit's label, over its tick: on the side of it that has more room. */
function limitRow(bar: CheckBar, tick: number, width: number, { ink }: MailInk): string {
  if (bar.labels.limit === null) return '';
  const before = tick * 2 > width;
  const style = `font-size:12px;line-height:14px;color:${ink};white-space:nowrap`;
  const text = escapeXml(bar.labels.limit).replaceAll(' ', '&nbsp;');
  const mark = `border-${before ? 'right' : 'left'}:${tickWidth}px solid ${ink}`;
  const near = `<td class="bar-ink" width="${before ? tick + tickWidth : width - tick}" align="${before ? 'right' : 'left'}" style="${style};${mark};padding:0 5px">${text}</td>`;
  const far = `<td width="${before ? width - tick - tickWidth : tick}"></td>`;
  return row(width, before ? near + far : far + near);
}

interface Stretch {
  readonly from: number;
  readonly to: number;
  readonly kind: 'axis' | 'bar' | 'tick';
}

/** The scale from left to right: what lies where. The tick stands on top of a bar that reaches across it. */
function stretches({ tick, from, to }: BarPlaces, width: number): Stretch[] {
  const tickTo = tick + tickWidth;
  const cuts = [...new Set([0, from, to, tick, tickTo, width])].filter((x) => x <= width).sort((a, b) => a - b);
  return cuts.slice(0, -1).map((start, i) => {
    const end = cuts[i + 1]!;
    const kind = start >= tick && end <= tickTo ? 'tick' : start >= from && end <= to ? 'bar' : 'axis';
    return { from: start, to: end, kind };
  });
}

function scaleRow(bar: CheckBar, places: BarPlaces, width: number, inks: MailInk): string {
  const cells = stretches(places, width).map(({ from, to, kind }) => {
    const wide = to - from;
    if (kind === 'tick')
      return cell(wide, 'bar-ink', `border-top:${barHeight + 4}px solid ${inks.ink};line-height:0`, '');
    if (kind === 'axis') return cell(wide, 'bar-rule', `border-bottom:1px solid ${inks.rule}`, '');
    const open = { left: places.openFrom && from === 0, right: places.openTo && to === width };
    if (bar.proof === 'past') return solidCell(wide, open, inks);
    return framedCell(
      bar.proof === 'within',
      wide,
      open,
      { left: from === places.from, right: to === places.to },
      inks,
    );
  });
  return row(width, cells.join(''));
}

interface Sides {
  readonly left: boolean;
  readonly right: boolean;
}

function solidCell(wide: number, open: Sides, { missed }: MailInk): string {
  const inner = `border-top:${barHeight}px solid ${missed};font-size:0;line-height:0;height:0`;
  const block = `<div class="bar-missed" style="${inner}">&nbsp;</div>`;
  return cell(wide, 'bar-ink', 'line-height:0', open.left || open.right ? `${block}` : block);
}

function framedCell(outline: boolean, wide: number, open: Sides, ends: Sides, { ink }: MailInk): string {
  const line = outline ? `2px solid ${ink}` : `1px solid ${ink}`;
  const edge = outline ? 2 : 1;
  const sides = [
    ...(ends.left && !open.left ? [`border-left:${line}`] : []),
    ...(ends.right && !open.right ? [`border-right:${line}`] : []),
  ];
  const strokes = outline ? '' : '/'.repeat(Math.max(1, Math.floor((wide - 2) / strokeWidth)));
  const inner = [
    `border-top:${line};border-bottom:${line}`,
    ...sides,
    `height:${barHeight - 2 * edge}px;line-height:${barHeight - 2 * edge}px;font-size:10px;overflow:hidden;white-space:nowrap;color:${ink}`,
  ].join(';');
  return cell(wide, 'bar-ink', '', `<div class="bar-ink" style="${inner}">${strokes || '&nbsp;'}</div>`);
}

function cell(wide: number, name: string, style: string, content: string): string {
  return `<td class="${name}" width="${wide}" valign="bottom" style="width:${wide}px;height:${barHeight + 4}px;padding:0;font-size:0;${style}">${content}</td>`;
}

function endsRow(bar: CheckBar, width: number, { soft }: MailInk): string {
  const style = `font-size:12px;line-height:16px;color:${soft}`;
  const text = (label: string) => escapeXml(label).replaceAll(' ', '&nbsp;');
  return row(
    width,
    `<td class="soft" align="left" style="${style}">${text(bar.labels.from)}</td><td class="soft" align="right" style="${style}">${text(bar.labels.to)}</td>`,
  );
}
