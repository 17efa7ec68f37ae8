/**
 * The digest as plain text: what a text client shows, and the part that every mail program can fall back on. Lines are short enough
 * for a telephone held upright in most programs; the evidence bar is drawn in characters, and said in words beside it for who sees
 * another typeface.
 */
import { capital, cautions, drawEvidenceBar, table, wrap } from '@gearhold/look';
import type { DigestContent, DigestEntry, DigestLine, DigestSection } from './content.ts';

const width = 64;
const barWidth = 44;

export function digestText(content: DigestContent): string {
  const lines = [
    'gearhold',
    content.day,
    '='.repeat(width),
    ...content.lead.flatMap((paragraph) => [...wrap(paragraph, width), '']).slice(0, -1),
    ...content.sections.flatMap(section),
    ...tally(content),
    '',
    '='.repeat(width),
    ...wrap(cautions, width),
    '',
    ...wrap(content.foot, width),
  ];
  return `${lines.join('\n')}\n`;
}

function section({ title, note, entries, lines }: DigestSection): string[] {
  return [
    '',
    title.toUpperCase(),
    ...(note === null ? [] : wrap(note, width)),
    rule,
    ...entries.flatMap((one) => [...entry(one), rule]),
    ...lines.flatMap((one) => [...line(one), rule]),
  ];
}

const rule = '-'.repeat(width);

function entry({ when, otherDay, place, tags, sentence, bar, about, link }: DigestEntry): string[] {
  const head = [...(otherDay ? [when.date] : []), when.time, ...(place === null ? [] : [place])].join(', ');
  const tag = tags.length === 0 ? '' : `${capital(tags.join(', ')).toUpperCase()}. `;
  return [
    ...wrap(head, width),
    ...wrap(`${tag}${sentence}`, width),
    ...(bar === null ? [] : [...drawEvidenceBar(bar, barWidth), `(${bar.said})`]),
    ...wrap(capital(about.join(' · ')), width),
    ...(link === null ? [] : [link]),
  ];
}

function line({ head, text }: DigestLine): string[] {
  return [...wrap(head, width), ...wrap(text, width)];
}

function tally({ tally: { head, rows } }: DigestContent): string[] {
  if (rows.length === 0) return [];
  const [first = '', ...rest] = table([head, ...rows]);
  return ['', first.replace(/^\S+/, (word) => word.toUpperCase()), rule, ...rest];
}
