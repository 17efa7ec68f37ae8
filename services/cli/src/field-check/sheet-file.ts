/**
 * A filled sheet: CSV in, watched rows out. Whatever a person got wrong ends in one {@link Failure} of status 2 with a
 * sentence for each mistake that names line and column, so that a sheet is mended in one go.
 */
import { readFile } from 'node:fs/promises';
import { exitStatus, Failure, fileReason, problemFailure } from '@gearhold/shared';
import { CsvError, parse } from 'csv-parse/sync';
import { type SheetColumn, sheetColumns } from './columns.ts';
import { readRow } from './sheet-row.ts';
import type { Watched } from './watched.ts';

const what = 'field sheet';

/** A sheet is typed by hand; more than this is something else, bytes. */
const largestSheet = 16 * 1024 * 1024;

interface CsvRow {
  /** Line on which it begins. */
  readonly line: number;
  readonly cells: readonly string[];
}

/** Rows in the order of the sheet. @throws Failure of status 2 */
export async function readSheet(path: string): Promise<Watched[]> {
  const [head, ...rows] = csvRows(await textOf(path), path);
  if (head === undefined) {
    throw new Failure(exitStatus.usage, `${what} ${path} is empty: expected the header row of the template.`);
  }
  const { places, problems } = placesOf(head);
  if (problems.length > 0) throw problemFailure(path, what, problems);
  const watched: Watched[] = [];
  for (const { line, cells } of rows) {
    const mistake = (column: SheetColumn, text: string) => {
      const place = places.get(column);
      problems.push(`line ${line}, ${place === undefined ? '' : `column ${place + 1} `}(${column}): ${text}.`);
    };
    const extra = cells.findIndex((cell, i) => i >= head.cells.length && cell !== '');
    if (extra >= 0) {
      problems.push(
        `line ${line}, column ${extra + 1}: the header has ${head.cells.length} columns: expected quotes around a text with a comma in it.`,
      );
      continue;
    }
    const texts = Object.fromEntries(
      sheetColumns.map((column) => [column, cells[places.get(column) ?? Number.NaN] ?? '']),
    ) as Record<SheetColumn, string>;
    const row = readRow(texts, line, mistake);
    if (row !== null) watched.push(row);
  }
  problems.push(...watchedTwice(watched));
  if (problems.length > 0) throw problemFailure(path, what, problems);
  return watched;
}

async function textOf(path: string): Promise<string> {
  let bytes: Buffer;
  try {
    bytes = await readFile(path);
  } catch (error) {
    throw new Failure(exitStatus.usage, `${what} ${path} cannot be read: ${fileReason(error)}.`);
  }
  if (bytes.length > largestSheet) {
    throw new Failure(exitStatus.usage, `${what} ${path} is larger than 16 MiB: expected a sheet typed by hand.`);
  }
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch {
    throw new Failure(exitStatus.usage, `${what} ${path} is not UTF-8 text: save it as CSV with UTF-8.`);
  }
}

/** Rows that are not blank, cells trimmed. Spreadsheets of some countries write semicolons. */
function csvRows(text: string, path: string): CsvRow[] {
  const [first = ''] = text.split('\n', 1);
  const delimiter = first.includes(';') && !first.includes(',') ? ';' : ',';
  try {
    const records = parse(text, { delimiter, info: true, relax_column_count: true, trim: true }) as unknown as {
      readonly info: { readonly lines: number };
      readonly record: readonly string[];
    }[];
    const begins = records.map((_, i) => (records[i - 1]?.info.lines ?? 0) + 1);
    return records
      .map(({ record }, i) => ({ line: begins[i]!, cells: record }))
      .filter(({ cells }) => cells.some((cell) => cell !== ''));
  } catch (error) {
    if (!(error instanceof CsvError)) throw error;
    const line = (error as unknown as { readonly lines?: number }).lines ?? 1;
    throw problemFailure(path, what, [
      `line ${line}: this is not CSV, a quote is opened or closed where it should not be.`,
    ]);
  }
}

/** Where each column stands. */
function placesOf({ line, cells }: CsvRow): { places: Map<SheetColumn, number>; problems: string[] } {
  const known = new Map(sheetColumns.map((column) => [column.toLowerCase(), column]));
  const places = new Map<SheetColumn, number>();
  const problems: string[] = [];
  cells.forEach((cell, i) => {
    if (cell === '') return;
    const column = known.get(cell.toLowerCase());
    const place = `line ${line}, column ${i + 1}`;
    if (column === undefined) {
      problems.push(
        `${place}: unknown column ${JSON.stringify(cell)}: expected the columns of gearhold field-check --template.`,
      );
    } else if (places.has(column)) problems.push(`${place}: the column ${column} stands twice.`);
    else places.set(column, i);
  });
  for (const column of ['vehicleId', 'kind'] as const) {
    if (!places.has(column)) problems.push(`line ${line}: the column ${column} is missing.`);
  }
  return { places, problems };
}

/** Two rows of one coupling would make one of them look as if it had not been found. */
function watchedTwice(rows: readonly Watched[]): string[] {
  const problems: string[] = [];
  const last = new Map<string, { readonly row: Watched; readonly untilMs: number }>();
  const spans = rows
    .filter(({ kind }) => kind !== 'none')
    .map((row) => ({ row, fromMs: Math.min(...timesOf(row)), untilMs: Math.max(...timesOf(row)) }))
    .sort((a, b) => a.fromMs - b.fromMs);
  for (const { row, fromMs, untilMs } of spans) {
    const key = JSON.stringify([row.vehicleId, row.kind]);
    const before = last.get(key);
    if (before !== undefined && fromMs <= before.untilMs) {
      const [first, second] = [before.row.line, row.line].sort((a, b) => a - b);
      problems.push(
        `line ${second}: this is the ${row.kind} of line ${first} again, or one of their times is wrong: expected one row for each.`,
      );
    }
    if (before === undefined || untilMs > before.untilMs) last.set(key, { row, untilMs });
  }
  return problems;
}

function timesOf({ times, tugTestTimes }: Watched): number[] {
  return [...times.values(), ...tugTestTimes];
}
