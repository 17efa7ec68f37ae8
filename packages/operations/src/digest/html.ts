/**
 * The digest as HTML for mail: one column that a telephone shows without zooming, and that a wide window gives a margin for the
 * times. Only what mail programs keep is relied on: tables, borders and styles in place; the style sheet adds the margin and the dark
 * variant where it is let through. No pictures, no scripts, nothing fetched.
 */
import { type CheckBar, capital, cautions, escapeXml, type MailInk, mailBar } from '@gearhold/look';
import { type DigestContent, type DigestEntry, type DigestLine, type DigestSection, mastheads } from './content.ts';

/** Contrast of text on its ground is at least 7 to 1 in both variants; a test holds that. */
export const lightInk = {
  paper: '#faf8f3',
  ink: '#1d2127',
  soft: '#4b5058',
  rule: '#c9c2b2',
  missed: '#8c2a18',
  act: '#1b4680',
};
export const darkInk = {
  paper: '#15171a',
  ink: '#ece8df',
  soft: '#b3b0a7',
  rule: '#4a4d53',
  missed: '#f09a85',
  act: '#9cc1f0',
};

const barInk: MailInk = lightInk;
const barWidth = 280;
/** Bars that are drawn; those of further anomalies stand in words, since mail programs cut off what is longer than about 100 kB. */
const mostDrawings = 25;
const sans = "font-family:-apple-system,'Segoe UI',Roboto,'Helvetica Neue',Arial,sans-serif";

/** Four steps of size, px. */
const size = { title: 21, text: 16, small: 14, label: 12 };

const sheet = `
:root{color-scheme:light dark;supported-color-schemes:light dark}
body{font-variant-numeric:tabular-nums}
@media (min-width:600px){.when{display:table-cell!important;width:128px!important;padding-right:20px!important}.place{display:block!important}.said{display:table-cell!important}}
@media (prefers-color-scheme:dark){
body,.paper{background:${darkInk.paper}!important;color:${darkInk.ink}!important}
.ink,.bar-ink{color:${darkInk.ink}!important;border-color:${darkInk.ink}!important}
.soft{color:${darkInk.soft}!important}
.rule,.bar-rule{border-color:${darkInk.rule}!important}
.missed{color:${darkInk.missed}!important;border-color:${darkInk.missed}!important}
.bar-missed{border-color:${darkInk.missed}!important}
a{color:${darkInk.act}!important}
}`;

export function digestHtml(content: DigestContent): string {
  const { ink, paper } = lightInk;
  const body = [head(content), ...sections(content), tally(content), foot(content)].join('\n');
  return `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width,initial-scale=1"><meta name="color-scheme" content="light dark"><meta name="supported-color-schemes" content="light dark"><title>${escapeXml(content.subject)}</title><style>${sheet}</style></head>
<body class="paper" style="margin:0;padding:0;background:${paper};color:${ink}">
<table role="presentation" class="paper" width="100%" cellpadding="0" cellspacing="0" border="0" style="background:${paper}"><tr><td align="center" style="padding:0 16px 32px">
<div class="ink" style="max-width:640px;margin:0 auto;text-align:left;${sans};font-size:${size.text}px;line-height:1.45;color:${ink}">
${body}
</div>
</td></tr></table>
</body></html>
`;
}

function head({ kind, day, lead }: DigestContent): string {
  const { ink, soft } = lightInk;
  return [
    `<div class="ink" style="padding:18px 0 8px;border-bottom:2px solid ${ink};font-size:${size.text}px;color:${ink}"><b>gearhold</b> <span class="soft" style="color:${soft}">&nbsp;${mastheads[kind]}</span></div>`,
    `<h1 class="ink" style="margin:18px 0 6px;font-size:${size.title}px;line-height:1.25;font-weight:600;color:${ink}">${escapeXml(day)}</h1>`,
    ...lead.map((sentence) => `<p class="ink" style="margin:0 0 6px;color:${ink}">${text(sentence)}</p>`),
  ].join('\n');
}

function sections({ sections }: DigestContent): string[] {
  let drawn = 0;
  return sections.map((one) => {
    const before = drawn;
    drawn += one.entries.length;
    return section(one, mostDrawings - before);
  });
}

function section({ title, note, entries, lines }: DigestSection, drawings: number): string {
  const { ink, soft } = lightInk;
  const heading = `<h2 class="ink" style="margin:32px 0 0;padding:0 0 6px;border-bottom:1px solid ${ink};font-size:${size.text}px;line-height:1.3;font-weight:700;color:${ink}">${escapeXml(title)}${entries.length > 0 ? ` <span class="soft" style="font-weight:400;color:${soft}">&nbsp;${entries.length}</span>` : ''}</h2>`;
  const under =
    note === null
      ? ''
      : `<p class="soft" style="margin:6px 0 0;font-size:${size.small}px;color:${soft}">${text(note)}</p>`;
  return [heading, under, ...entries.map((one, i) => entry(one, i < drawings)), ...lines.map(line)]
    .filter((part) => part !== '')
    .join('\n');
}

function entry(
  { when, otherDay, place, tags, urgent, sentence, bar, about, link }: DigestEntry,
  draw: boolean,
): string {
  const { ink, soft, act } = lightInk;
  const [truck = '', ...others] = about;
  const beside = [...(otherDay ? [when.date] : []), ...(place === null ? [] : [place])];
  const where = beside.map((part) => ` <span class="place">${escapeXml(part)}</span>`).join('');
  const parts = [
    `<div class="ink" style="color:${ink}">${tags.map((tag) => tagOf(tag, urgent)).join('')}${text(sentence)}</div>`,
    bar === null ? '' : draw ? mailBar(bar, barWidth, barInk) : barInWords(bar),
    `<div class="soft" style="margin-top:4px;font-size:${size.small}px;color:${soft}"><b class="ink" style="font-weight:600;color:${ink}">${text(capital(truck))}</b>${others.map((part) => ` · ${text(part)}`).join('')}</div>`,
    link === null
      ? ''
      : `<div style="margin-top:4px;font-size:${size.small}px"><a href="${escapeXml(link)}" style="color:${act}">Look at the evidence</a></div>`,
  ];
  return ruled(
    `<td class="when soft" valign="top" style="display:block;padding-bottom:2px;font-size:${size.small}px;line-height:1.5;color:${soft}"><b class="ink" style="font-weight:600;color:${ink}">${escapeXml(when.time)}</b>&nbsp;${where}</td><td class="said" valign="top" style="display:block">${parts.join('')}</td>`,
  );
}

function barInWords({ said }: CheckBar): string {
  const { soft } = lightInk;
  return `<div class="soft" style="margin-top:4px;font-size:${size.small}px;color:${soft}">${text(capital(said))}.</div>`;
}

/** What cannot wait is framed in the ink of what is proven missed, other tags in the ink of the text. */
function tagOf(tag: string, urgent: boolean): string {
  const { ink, missed } = lightInk;
  const [name, colour, weight] = urgent ? ['missed', missed, 700] : ['ink', ink, 400];
  return `<span class="${name}" style="display:inline-block;margin-right:8px;padding:0 5px;border:1px solid ${colour};font-size:${size.small}px;font-weight:${weight};color:${colour}">${escapeXml(tag)}</span>`;
}

function line({ head, text: said }: DigestLine): string {
  const { ink } = lightInk;
  return ruled(
    `<td class="ink" style="color:${ink}"><b class="ink" style="font-weight:600;color:${ink}">${text(head)}</b><br>${text(said)}</td>`,
  );
}

/** One line of the ledger: a row with a rule beneath. */
function ruled(cells: string): string {
  return `<table role="presentation" class="rule" width="100%" cellpadding="0" cellspacing="0" border="0" style="border-bottom:1px solid ${lightInk.rule}"><tr><td style="padding:12px 0"><table role="presentation" width="100%" cellpadding="0" cellspacing="0" border="0"><tr>${cells}</tr></table></td></tr></table>`;
}

function tally({ tally: { head: names, rows } }: DigestContent): string {
  if (rows.length === 0) return '';
  const { ink, rule } = lightInk;
  const cell = (tag: 'th' | 'td', column: number, content: string, border: string) =>
    `<${tag} class="${tag === 'th' ? 'ink' : 'ink rule'}" align="${column === 0 ? 'left' : 'right'}" style="padding:6px 0 6px ${column === 0 ? 0 : 8}px;border-bottom:1px solid ${border};font-weight:${tag === 'th' ? 700 : 400};color:${ink}">${text(content)}</${tag}>`;
  const top = names.map((name, column) => cell('th', column, name, ink)).join('');
  const body = rows.map(
    (row) => `<tr>${row.map((content, column) => cell('td', column, content, rule)).join('')}</tr>`,
  );
  return `<table width="100%" cellpadding="0" cellspacing="0" border="0" style="margin-top:32px;font-size:${size.small}px;border-collapse:collapse"><tr>${top}</tr>${body.join('')}</table>`;
}

function foot({ foot: why }: DigestContent): string {
  const { ink, soft } = lightInk;
  const style = `margin:10px 0 0;font-size:${size.small}px;color:${soft}`;
  return `<div class="ink" style="margin-top:32px;border-top:2px solid ${ink}"><p class="soft" style="${style}">${text(cautions)}</p><p class="soft" style="${style}">${text(why)}</p></div>`;
}

/** Text of an element; a no-break space stays one. */
function text(content: string): string {
  return escapeXml(content).replaceAll('\u00a0', '&nbsp;');
}
