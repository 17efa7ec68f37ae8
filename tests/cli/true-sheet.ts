/**
 * A field sheet as a careful person would have filled it in who saw what the simulator knows: one row for each true
 * episode, times to the second in the yard's zone, steps as they truly were. Tests change cells to make the errors that
 * they are about.
 */

import type { TrueEpisode } from '@gearhold/fixtures';
import { csvTemplate } from '../../services/cli/src/field-check/columns.ts';

export type SheetRow = Record<string, string>;

const zone = 'America/Chicago';

const clock = new Intl.DateTimeFormat('sv-SE', { timeZone: zone, dateStyle: 'short', timeStyle: 'medium' });

export function trueRow(truth: TrueEpisode): SheetRow {
  const { milestones, checks, pauses, dumped, kind, loadTransferTime, vehicleId } = truth;
  const row: SheetRow = { vehicleId, kind, zone, date: dateOf(loadTransferTime), watcher: 'W. Atcher', yard: 'depot' };
  const { tugTestTimes = [], ...single } = milestones;
  for (const [name, time] of Object.entries({ ...single, loadTransferTime })) {
    if (typeof time === 'number') row[name] = timeOf(time);
  }
  row.dumpUsed = yesNo(dumped);
  if (kind === 'coupling') {
    row.tugTestTimes = tugTestTimes.map(timeOf).join(' ');
    row.tugTests = String(tugTestTimes.length);
    row.stopSeconds = String(Math.round(checks['approach-stop']?.low ?? 0));
  } else {
    const longest = pauses.toSorted((a, b) => b.seconds - a.seconds)[0];
    row.pause = longest === undefined ? 'none' : longest.kind === 'dumped' ? 'before-pull' : 'under-nose';
    row.pauseSeconds = longest === undefined ? '' : longest.seconds.toFixed(0);
    const returned = checks['load-returned']?.outcome;
    row.secondHit = returned === 'missed' ? 'yes' : returned === 'met' ? 'no' : '';
  }
  return row;
}

/** CSV with the columns of the template. */
export function sheetText(rows: readonly SheetRow[]): string {
  const columns = csvTemplate().trim().split(',');
  const unknown = rows.flatMap((row) => Object.keys(row)).filter((name) => !columns.includes(name));
  if (unknown.length > 0) throw new RangeError(`no such columns: ${unknown.join(', ')}`);
  return [columns, ...rows.map((row) => columns.map((name) => row[name] ?? ''))]
    .map((cells) => `${cells.join(',')}\n`)
    .join('');
}

/** `06:14:05` in the yard's zone. */
export function timeOf(timeMs: number): string {
  return clock.format(Math.round(timeMs / 1000) * 1000).slice(11);
}

function dateOf(timeMs: number): string {
  return clock.format(timeMs).slice(0, 10);
}

function yesNo(value: boolean): string {
  return value ? 'yes' : 'no';
}
