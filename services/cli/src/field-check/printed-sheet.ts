/**
 * The sheet to print: two pages, one for couplings and one for uncouplings, three of each, black on white. Heights are in
 * millimetres, so that both pages fit the printable part of A4 and of Letter, whichever is narrower and shorter.
 */

import { cautions } from '@gearhold/look';
import type { Policy } from '@gearhold/policy';
import {
  couplingTimes,
  enoughWatched,
  type SheetColumn,
  type TimedMilestone,
  uncouplingTimes,
  wordsOf,
} from './columns.ts';

interface Box {
  readonly label: string;
  readonly column: SheetColumn;
  /** Answers to mark; left out: a box to write in. */
  readonly answers?: readonly string[];
}

type Kind = 'coupling' | 'uncoupling';

const yesNo = ['yes', 'no'];
const cardsOnPage = 3;
/** Trucks that were watched and did neither, on the second page. */
const quietRows = 2;

/** A whole HTML document. Figures of the steps are those of the policy. */
export function printedSheet(policy: Policy): string {
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>gearhold field sheet</title>
<style>${style}</style>
</head>
<body>
${page('coupling', couplingBoxes(policy), '')}
${page('uncoupling', uncouplingBoxes(policy), quiet())}
</body>
</html>
`;
}

function page(kind: Kind, steps: readonly Box[], more: string): string {
  const title = kind === 'coupling' ? 'Couplings (hooks)' : 'Uncouplings (drops)';
  const times: TimedMilestone[] = kind === 'coupling' ? [...couplingTimes] : [...uncouplingTimes];
  const boxes: Box[] = times.map((column) => ({ label: wordsOf(column, kind).sheet, column }));
  if (kind === 'coupling') boxes.splice(-1, 0, { label: wordsOf('tugTestTimes', kind).sheet, column: 'tugTestTimes' });
  const cards = Array.from({ length: cardsOnPage }, () => card(kind, boxes, steps)).join('\n');
  return `<section class="page">
<header><h1>gearhold field sheet</h1><h2>${title}</h2></header>
<div class="line">${[blank('Date', 'date'), blank('Yard', 'yard'), blank('Zone', 'zone'), blank('Watcher', 'watcher')].join('')}</div>
<p>${kind === 'coupling' ? howTo : howToUncoupling}</p>
${cards}
${more}
<footer>${escaped(cautions)}</footer>
</section>`;
}

const howTo = `Watch ${enoughWatched} before you act on any verdict. Stand where the driver sees you, never between tractor and trailer; the yard's own rules come first. Set your watch by the network and write hours, minutes and seconds. Leave blank what you did not see: a blank is no mistake, a guess is. Do not prompt the driver.`;
const howToUncoupling =
  'Of several pauses write the longest. Blank means not seen. A second hit: load came back onto the fifth wheel after the plate was off.';

function couplingBoxes(policy: Policy): Box[] {
  const metres = limitOf(policy, 'approach-stop', 'withinMetres');
  const within = limitOf(policy, 'tug-test-count', 'withinSeconds');
  return [
    { label: 'Got out to look before backing under', column: 'gotOut', answers: yesNo },
    { label: `Longest stop within ${metres}\u00a0m short, s`, column: 'stopSeconds' },
    { label: `Tug tests within ${within}\u00a0s of home, count`, column: 'tugTests' },
    { label: 'Parking brake set', column: 'parkingBrakeSet', answers: yesNo },
    { label: 'Air let out to back under', column: 'dumpUsed', answers: yesNo },
  ];
}

function uncouplingBoxes(policy: Policy): Box[] {
  const metres = limitOf(policy, 'gear-hold-pause', 'underMetres');
  return [
    {
      label: `Longest pause: air out, before the pull; or within ${metres}\u00a0m of the plate off`,
      column: 'pause',
      answers: ['none', 'before-pull', 'under-nose'],
    },
    { label: 'How long, s', column: 'pauseSeconds' },
    { label: 'Parking brake set', column: 'parkingBrakeSet', answers: yesNo },
    { label: 'Air let out to leave', column: 'dumpUsed', answers: yesNo },
    { label: 'Second hit', column: 'secondHit', answers: yesNo },
  ];
}

function limitOf(policy: Policy, check: string, limit: string): string {
  return String(policy.checks.find((setting) => setting.check === check)?.limits[limit] ?? '');
}

function card(kind: Kind, times: readonly Box[], steps: readonly Box[]): string {
  return `<article>
<div class="line">${[
    blank(`${kind === 'coupling' ? 'Coupling' : 'Uncoupling'}, truck`, 'vehicleId'),
    blank('Watched from', 'watchedFrom'),
    blank('until', 'watchedUntil'),
  ].join('')}</div>
${table('Stopwatch times', times)}
${table('Steps seen', steps)}
<div class="line">${blank('Remarks', 'remarks')}</div>
</article>`;
}

function table(caption: string, boxes: readonly Box[]): string {
  const heads = boxes.map(({ label, column }) => `<th scope="col">${escaped(label)} ${name(column)}</th>`).join('');
  const cells = boxes.map(({ answers }) => `<td>${(answers ?? []).map(answer).join(' ')}</td>`).join('');
  return `<table aria-label="${caption}"><thead><tr>${heads}</tr></thead><tbody><tr>${cells}</tr></tbody></table>`;
}

function answer(text: string): string {
  return `<span class="mark"><i></i>${text}</span>`;
}

function quiet(): string {
  const line = `<div class="line">${[
    blank('Truck', 'vehicleId'),
    blank('Watched from', 'watchedFrom'),
    blank('until', 'watchedUntil'),
    blank('What it did', 'remarks'),
  ].join('')}</div>`;
  return `<article class="quiet"><h3>Watched, and neither coupled nor uncoupled: kind none</h3>${line.repeat(quietRows)}</article>`;
}

function blank(label: string, column: SheetColumn): string {
  return `<span class="blank ${column}"><b>${label}</b> ${name(column)}<u></u></span>`;
}

/** The column of the template that it is typed into. */
function name(column: SheetColumn): string {
  return `<code>${column}</code>`;
}

function escaped(text: string): string {
  return text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;').replaceAll('"', '&quot;');
}

const style = `
@page { margin: 10mm 12mm }
* { box-sizing: border-box }
body { margin: 0; background: #faf8f3; color: #1d2127; font: 9pt/1.3 Inter, system-ui, sans-serif; font-variant-numeric: tabular-nums }
.page { width: 186mm; margin: 0 auto; padding: 8mm 0; break-after: page }
.page:last-child { break-after: auto }
header { display: flex; gap: 6mm; align-items: baseline; border-bottom: 0.6mm solid; padding-bottom: 1mm }
h1, h2 { margin: 0; font-size: 13pt; font-weight: 650 }
h2 { font-weight: 400 }
h3 { margin: 0; font-size: 9pt; font-weight: 650 }
p { margin: 3mm 0 2mm }
article { border-top: 0.3mm solid; padding-top: 1mm; margin-top: 3.5mm; break-inside: avoid }
.line { display: flex; gap: 4mm; height: 7mm; align-items: baseline; padding-top: 2mm }
.blank { flex: 1; display: flex; gap: 1mm; align-items: baseline; white-space: nowrap }
.blank u { flex: 1; border-bottom: 0.2mm solid; height: 5mm; min-width: 12mm; text-decoration: none }
.zone { flex: 1.5 }
.blank b { font-weight: 650 }
.yard, .watcher, .remarks { flex: 2 }
table { width: calc(100% - 0.3mm); table-layout: fixed; border-collapse: collapse; margin-top: 1.5mm }
th, td { border: 0.2mm solid; padding: 0.6mm 1mm; vertical-align: top; text-align: left }
th { height: 11mm; font-weight: 400; font-size: 7.5pt; line-height: 1.2 }
td { height: 9mm; vertical-align: middle; font-size: 7.5pt }
code { font: 6.5pt/1.2 Inter, system-ui, sans-serif; color: #5b6069; overflow-wrap: anywhere }
.mark { display: inline-block; white-space: nowrap; margin-right: 1mm }
.mark i { display: inline-block; width: 2.8mm; height: 2.8mm; border: 0.25mm solid; margin-right: 0.8mm; vertical-align: -0.4mm }
footer { margin-top: 3mm; border-top: 0.6mm solid; padding-top: 1mm; font-size: 7.5pt; line-height: 1.25 }
@media print { body { background: #fff; color: #000 } .page { padding: 0; width: auto } code { color: #000 } }
@media screen and (prefers-color-scheme: dark) { body { background: #15171a; color: #ece8df } code { color: #a9a69d } }
`;
