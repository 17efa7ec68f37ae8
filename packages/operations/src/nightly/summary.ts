/** A night in words: the summary that a person reads in the morning, and the plan that `--dry-run` prints. */
import { count, namesOf, printable, whole } from '@gearhold/look';
import type { DayWindow } from '../day/window.ts';
import type { DigestOutcome } from '../digest/index.ts';
import type { DayOutcome, NightOutcome } from './outcome.ts';
import type { NightPlan } from './plan.ts';

const labelWidth = 12;

function say(label: string, text: string): string {
  return `${label.padEnd(labelWidth)} ${text}`;
}

/** Lines without a line feed at the end. */
export function nightLines(night: NightOutcome): string[] {
  const lines = [...fileLines(night), analysisLine(night)];
  if (night.pruned !== null) {
    const { readings, rejects, evidence } = night.pruned;
    const parts = [
      count(readings, 'reading'),
      count(rejects, 'rejected row'),
      `the evidence of ${count(evidence, 'episode')}`,
    ];
    lines.push(say('pruned', parts.join(', ')));
  }
  for (const day of night.days) lines.push(...dayLines(day));
  lines.push(say('look', `npx gearhold anomalies ${askFor(night.days)}`));
  if (night.attention.length > 0) lines.push('', 'Somebody should look:');
  for (const { sentence } of night.attention) lines.push(`- ${printable(sentence, 1000)}`);
  return lines;
}

function fileLines({ files, unsettled }: NightOutcome): string[] {
  const of = (outcome: string) => files.filter((file) => file.outcome === outcome);
  const parts = [`${whole(of('taken').length)} taken`];
  if (of('known').length > 0) parts.push(`${whole(of('known').length)} taken before`);
  if (of('failed').length > 0) parts.push(`${whole(of('failed').length)} not read to the end`);
  if (of('busy').length > 0) parts.push(`${whole(of('busy').length)} being taken by another process`);
  const lines = [say('files', parts.join(', '))];
  if (unsettled.length > 0)
    lines.push(say('', `${namesOf(unsettled, 4)}: written to within the last minute, left for the next run`));
  const sum = (figure: (file: NightOutcome['files'][number]) => number) =>
    files.reduce((all, file) => all + figure(file), 0);
  const rows = sum(({ report }) => report.rowsRead);
  if (rows > 0) {
    const rejected = sum(({ report }) => report.rowsRejected);
    const stored = `${whole(sum(({ rowsNew }) => rowsNew))} new, ${whole(sum(({ rowsChanged }) => rowsChanged))} corrected`;
    lines.push(say('rows', `${whole(rows)} read, ${stored}, ${whole(rejected)} rejected`));
  }
  return lines;
}

function analysisLine({ analysis: { vehicles, added, changed, withdrawn } }: NightOutcome): string {
  if (vehicles === 0) return say('analysis', 'nothing was due');
  const found = `${count(added, 'episode')} new, ${whole(changed)} changed, ${whole(withdrawn)} withdrawn`;
  return say('analysis', `${count(vehicles, 'truck')} due: ${found}`);
}

function dayLines({ window, heard, silent, episodes, anomalies, digests }: DayOutcome): string[] {
  const quiet = silent.length === 0 ? '' : `, ${whole(silent.length)} silent`;
  const found = `${count(episodes, 'episode')}, ${count(anomalies, 'anomaly', 'anomalies')}`;
  return [
    say('day', windowText(window)),
    say('', `${count(heard, 'truck')} heard${quiet}; ${found}`),
    ...digests.map((digest, i) => say(i === 0 ? 'digest' : '', digestText(digest, window.day))),
    ...(digests.length === 0 ? [say('digest', 'nobody is to get one: no recipients file was given')] : []),
  ];
}

/** `2026-03-08 in America/Chicago: 2026-03-08T06:00:00.000Z to 2026-03-09T05:00:00.000Z, 23 h, zone data 2026b` */
function windowText({ day, zone, startMs, endMs, zoneData }: DayWindow): string {
  const span = `${new Date(startMs).toISOString()} to ${new Date(endMs).toISOString()}`;
  return `${day} in ${zone}: ${span}, ${(endMs - startMs) / 3_600_000} h, zone data ${zoneData}`;
}

function digestText({ day, recipient, state, path }: DigestOutcome, today: string): string {
  const to = `${printable(recipient, 200)}${day === today ? '' : ` (${day})`}`;
  if (state === 'written') return `for ${to}, written to ${path}`;
  if (state === 'sent') return `sent to ${to}`;
  if (state === 'before') return `for ${to}, went out before${path === null ? '' : `, into ${path}`}`;
  return state === 'unknown' ? `to ${to}: nobody knows whether it arrived` : `to ${to}: refused`;
}

/** The options that list the anomalies of these days. */
function askFor(days: readonly DayOutcome[]): string {
  const [first, last] = [days[0]!.window, days.at(-1)!.window];
  return `--since ${first.day} --until ${last.day} --zone ${first.zone}`;
}

/** Lines without a line feed at the end. */
export function planLines(plan: NightPlan): string[] {
  const named = (state: string) => plan.files.filter((file) => file.state === state).map(({ path }) => path);
  const lines = ['Nothing was done. This would be:', ...plan.windows.map((window) => say('day', windowText(window)))];
  const add = (label: string, names: readonly string[]) => {
    if (names.length > 0) lines.push(say(label, `${whole(names.length)}: ${namesOf(names, 6)}`));
  };
  add('take', named('new'));
  add('go on with', named('resume'));
  add('known', named('known'));
  add('failed', named('failed'));
  add('not at rest', plan.unsettled);
  add('unknown', plan.unknown);
  if (named('new').length + named('resume').length === 0) lines.push(say('take', 'no file'));
  add('due', plan.due);
  return lines;
}
