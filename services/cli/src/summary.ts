/** The closing summary on standard error: what became of the rows, and what was found in them. */
import type { Oddities } from '@gearhold/episodes';
import { count, kindPlural, namesOf, whole } from '@gearhold/look';
import { type IntakeReport, type RejectReason, rejectReasons } from '@gearhold/signals';

export interface Found extends Oddities {
  readonly vehicles: number;
  /** Episodes by kind, those printed. */
  readonly episodes: ReadonlyMap<string, number>;
  readonly anomalies: number;
}

export interface Run {
  readonly files: number;
  /** Wall time of the analysis, s. */
  readonly seconds: number;
}

/** Lines without a line feed at the end. */
export function summaryLines(intake: IntakeReport, found: Found, run: Run): string[] {
  const lines: string[] = [];
  const say = (label: string, text: string) => lines.push(`${label.padEnd(labelWidth)}${text}`);

  for (const notice of intake.notices) lines.push(notice);
  const perSecond = run.seconds > 0 ? `, ${whole(intake.rowsRead / run.seconds)} rows/s` : '';
  say('rows read', `${whole(intake.rowsRead)} from ${count(run.files, 'file')}${perSecond}`);
  say('rows rejected', whole(intake.rowsRejected));
  for (const [reason, rejected] of rejectedByReason(intake)) {
    say(`  ${reason}`, `${whole(rejected)}: ${rejectReasons[reason]}`);
  }
  if (intake.duplicates > 0)
    say('duplicates', `${count(intake.duplicates, 'row')} repeated another exactly, counted once`);
  if (intake.conflicts > 0) {
    say('conflicts', `${count(intake.conflicts, 'value')} of one instant disagreed, taken as not reported`);
  }
  const unusable = Object.entries(intake.unusableBySignal).map(([name, cells]) => `${name} ${whole(cells)}`);
  if (intake.unusableDriverIds > 0) unusable.push(`driverId ${whole(intake.unusableDriverIds)}`);
  if (unusable.length > 0) say('unusable cells', `${unusable.join(', ')}, taken as not reported`);
  if (intake.unknownColumns.size > 0) say('not read', `${columns(intake.unknownColumns)}`);
  if (intake.unknownChannels.size > 0) say('not mapped', `${namesOf(intake.unknownChannels)}`);
  say('vehicles', whole(found.vehicles));
  if (found.breaks > 0)
    say('silences', `${whole(found.breaks)} too long to tell an episode across, or a clock that jumped`);
  if (found.restarts > 0) {
    const times = count(found.restarts, 'time');
    say('level moves', `${times} the level without a trailer moved for good: a sensor mended or replaced?`);
  }
  if (found.stuck > 0)
    say('stuck sensors', `${count(found.stuck, 'time')} a load sensor repeated itself while driving, taken as silent`);
  say('episodes', episodes(found.episodes));
  say('anomalies', whole(found.anomalies));
  return lines;
}

const labelWidth = 18;

function rejectedByReason(intake: IntakeReport): [RejectReason, number][] {
  const entries = Object.entries(intake.rejected) as [RejectReason, number][];
  return entries.filter(([, rejected]) => rejected > 0).sort((a, b) => b[1] - a[1]);
}

function columns(names: ReadonlySet<string>): string {
  return `${names.size === 1 ? 'column' : 'columns'} ${namesOf(names)}: not in the list of signals`;
}

/** `148 (74 couplings, 74 uncouplings)` */
function episodes(byKind: ReadonlyMap<string, number>): string {
  let total = 0;
  for (const number of byKind.values()) total += number;
  const kinds = [...byKind].sort(([a], [b]) => (a < b ? -1 : 1));
  if (total === 0) return '0';
  return `${whole(total)} (${kinds.map(([kind, number]) => count(number, kind, kindPlural(kind))).join(', ')})`;
}
