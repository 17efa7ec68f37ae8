/**
 * One row of a sheet: texts in, a watched row out, or a mistake for everything that cannot be so. Cells are checked by the
 * schema; here it is checked that they go together: times of the kind, in an order that can be, steps of the kind.
 */
import {
  couplingTimes,
  type SheetColumn,
  sheetColumns,
  type TimedMilestone,
  uncouplingTimes,
  type WatchedKind,
} from './columns.ts';
import { type Cells, cellSchema } from './sheet-cells.ts';
import { RowClock } from './sheet-times.ts';
import type { Watched } from './watched.ts';

export type Mistake = (column: SheetColumn, text: string) => void;

const timedOf: Readonly<Record<WatchedKind, readonly SheetColumn[]>> = {
  coupling: [...couplingTimes, 'tugTestTimes'],
  uncoupling: uncouplingTimes,
  none: [],
};

const stepsOf: Readonly<Record<WatchedKind, readonly SheetColumn[]>> = {
  coupling: ['gotOut', 'stopSeconds', 'tugTests', 'parkingBrakeSet', 'dumpUsed'],
  uncoupling: ['pause', 'pauseSeconds', 'parkingBrakeSet', 'dumpUsed', 'secondHit'],
  none: [],
};

const timedColumns = sheetColumns.filter((column) => /Time$/.test(column)) as TimedMilestone[];
const kindColumns = [...new Set(Object.values(timedOf).concat(Object.values(stepsOf)).flat())];

/** What cannot come before what, whatever the order of steps that is taught. */
const orders: readonly (readonly TimedMilestone[])[] = [
  ['approachTime', 'contactTime', 'departureTime'],
  ['approachTime', 'seatedTime', 'departureTime'],
  ['standTime', 'pullOutTime', 'clearTime'],
  ['standTime', 'dumpTime', 'clearTime'],
  ['standTime', 'holdStartTime', 'holdEndTime', 'clearTime'],
];

/** The row, or null where there was a mistake. */
export function readRow(texts: Readonly<Record<SheetColumn, string>>, line: number, tell: Mistake): Watched | null {
  let right = true;
  const mistake: Mistake = (column, text) => {
    right = false;
    tell(column, text);
  };
  const parsed = cellSchema.safeParse(texts);
  if (!parsed.success) {
    for (const { path, message } of parsed.error.issues) {
      const column = path[0] as SheetColumn;
      mistake(column, `${message}, found ${quoted(texts[column])}`);
    }
    return null;
  }
  const cells = parsed.data;
  goesTogether(cells, texts, mistake);
  const times = readTimes(cells, texts, mistake);
  if (!right) return null;
  for (const order of orders) inOrder(order, times.milestones, mistake);
  const row = watchedRow(cells, times, line, mistake);
  return right ? row : null;
}

interface Times {
  readonly milestones: ReadonlyMap<TimedMilestone, number>;
  readonly tugTests: readonly number[];
  readonly from: number | null;
  readonly until: number | null;
}

function readTimes(cells: Cells, texts: Readonly<Record<SheetColumn, string>>, mistake: Mistake): Times {
  const clock = new RowClock(cells.date ?? '', cells.zone);
  const milestones = new Map<TimedMilestone, number>();
  const tugTests: number[] = [];
  const period: { watchedFrom: number | null; watchedUntil: number | null } = { watchedFrom: null, watchedUntil: null };
  const read = (column: SheetColumn, text: string, keep: (timeMs: number) => void) => {
    const time = clock.read(text, column !== 'watchedFrom' && column !== 'watchedUntil');
    if (typeof time === 'number') keep(time);
    else mistake(column, `${time}, found ${quoted(text)}`);
  };
  for (const column of sheetColumns) {
    const text = texts[column];
    if (text === '') continue;
    if (column === 'watchedFrom' || column === 'watchedUntil') read(column, text, (time) => (period[column] = time));
    else if (column === 'tugTestTimes') {
      for (const one of text.split(/[\s;]+/)) read(column, one, (time) => tugTests.push(time));
    } else if (isTimed(column)) read(column, text, (time) => milestones.set(column, time));
  }
  return { milestones, tugTests, from: period.watchedFrom, until: period.watchedUntil };
}

function isTimed(column: SheetColumn): column is TimedMilestone {
  return (timedColumns as readonly SheetColumn[]).includes(column);
}

function goesTogether(cells: Cells, texts: Readonly<Record<SheetColumn, string>>, mistake: Mistake): void {
  const asked = [...timedOf[cells.kind], ...stepsOf[cells.kind]];
  for (const column of kindColumns) {
    if (texts[column] === '' || asked.includes(column)) continue;
    const whose = cells.kind === 'none' ? 'a row of kind none has neither times nor steps' : `no part of ${cells.kind}`;
    mistake(column, `${whose}: expected it blank, found ${quoted(texts[column])}`);
  }
  if (cells.pause === 'none' && (cells.pauseSeconds ?? 0) > 0) {
    mistake('pauseSeconds', `there was no pause by "pause": expected 0 or blank, found ${quoted(texts.pauseSeconds)}`);
  }
  if (cells.pause === null && cells.pauseSeconds !== null) {
    mistake('pause', 'expected where the pause was, before-pull or under-nose, or none');
  }
}

function inOrder(order: readonly TimedMilestone[], times: Times['milestones'], mistake: Mistake): void {
  let before: TimedMilestone | null = null;
  for (const name of order) {
    const time = times.get(name);
    if (time === undefined) continue;
    if (before !== null && time < times.get(before)!) {
      mistake(name, `this comes ${seconds(times.get(before)! - time)} before ${before}: one of the two is wrong`);
    }
    before = name;
  }
}

function watchedRow(cells: Cells, times: Times, line: number, mistake: Mistake): Watched {
  const { kind, yard, zone, vehicleId, remarks, watcher } = cells;
  const all = [...times.milestones.values(), ...times.tugTests];
  if (kind === 'none' && (times.from === null || times.until === null)) {
    mistake(times.from === null ? 'watchedFrom' : 'watchedUntil', 'a row of kind none needs both ends of the watch');
  }
  if (kind !== 'none' && times.milestones.size === 0) {
    mistake(timedOf[kind][0]!, `no time is written: expected at least one stopwatch time, to find the ${kind} by`);
  }
  const fromMs = times.from ?? Math.min(...all);
  const untilMs = times.until ?? Math.max(...all);
  if (times.from !== null && times.until !== null && times.until < times.from)
    mistake('watchedUntil', 'the watch ends before it begins');
  // A period written to the minute begins or ends within that minute.
  if (all.some((time) => time < fromMs - 60_000))
    mistake('watchedFrom', 'a time of the row comes before the watch began');
  if (all.some((time) => time > untilMs + 60_000))
    mistake('watchedUntil', 'a time of the row comes after the watch ended');
  const { gotOut, stopSeconds, tugTests, pause, pauseSeconds, parkingBrakeSet, dumpUsed, secondHit } = cells;
  return {
    line,
    vehicleId,
    kind,
    yard,
    zone: zone === '' ? null : zone,
    fromMs: Math.min(fromMs, ...all),
    untilMs: Math.max(untilMs, ...all),
    times: times.milestones,
    tugTestTimes: times.tugTests,
    steps: { gotOut, stopSeconds, tugTests, pause, pauseSeconds, parkingBrakeSet, dumpUsed, secondHit },
    remarks,
    watcher,
  };
}

function seconds(ms: number): string {
  return `${Number((ms / 1000).toFixed(1))} s`;
}

function quoted(text: string): string {
  return text === '' ? 'a blank cell' : JSON.stringify(text.length > 60 ? `${text.slice(0, 57)}...` : text);
}
