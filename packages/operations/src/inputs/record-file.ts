/**
 * A file of records that a person or a small export writes: CSV with a header row, one JSON array, or one JSON object a line.
 * Whatever is wrong ends in a {@link Failure} of status 2 that names the line, the field and what was expected. An empty cell, an
 * absent key and `null` all mean that it was not recorded.
 */
import { companionBytes, companionText, exitStatus, Failure, parseJson, problemFailure } from '@gearhold/shared';
import { CsvError } from 'csv-parse';
import { parse } from 'csv-parse/sync';

/** Which file it is, and what its CSV header must hold. */
export interface RecordForm {
  /** Its role in sentences, such as `work file`. */
  readonly what: string;
  readonly fields: readonly string[];
  readonly needed: readonly string[];
}

export interface RawRecord {
  /** Line of the file on which it begins (JSON) or ends (CSV). */
  readonly line: number;
  readonly value: unknown;
}

/** The records as they stand, unchecked. @throws Failure of status 2 */
export async function readRecords(path: string, form: RecordForm): Promise<RawRecord[]> {
  const { what } = form;
  const ending = /\.([a-z]+)$/i.exec(path)?.[1]?.toLowerCase();
  if (ending === undefined || !['csv', 'json', 'ndjson', 'jsonl'].includes(ending)) {
    const sentence = `the format of ${what} ${path} cannot be told from its name: expected .csv, .json, .ndjson or .jsonl.`;
    throw new Failure(exitStatus.usage, sentence);
  }
  const bytes = await companionBytes(path, what);
  if (ending === 'csv') return csvRows(companionText(bytes, path, what, 'CSV'), path, form);
  if (ending === 'json') return arrayItems(bytes, path, form);
  return jsonLines(companionText(bytes, path, what), path, form);
}

/** A record without what was not recorded. */
export function recorded(value: unknown): unknown {
  if (typeof value !== 'object' || value === null || Array.isArray(value)) return value;
  return Object.fromEntries(Object.entries(value).filter(([, cell]) => cell !== null && cell !== ''));
}

function csvRows(text: string, path: string, form: RecordForm): RawRecord[] {
  try {
    const columns = (header: string[]) => checkedHeader(header, path, form);
    const rows: { record: Record<string, string>; info: { lines: number } }[] = parse(text, {
      columns,
      info: true,
      skip_empty_lines: true,
      trim: true,
    });
    return rows.map(({ record, info }) => ({ line: info.lines, value: record }));
  } catch (error) {
    if (!(error instanceof CsvError)) throw error;
    const { record, lines } = error;
    const cells = Array.isArray(record) ? record.length : 'another number';
    const why =
      error.code === 'CSV_RECORD_INCONSISTENT_COLUMNS'
        ? `expected as many cells as the header has columns, found ${cells}`
        : 'a quotation mark is not closed, or stands inside a cell that is not quoted';
    throw problemFailure(path, form.what, [`line ${typeof lines === 'number' ? lines : 'unknown'}: ${why}.`]);
  }
}

function checkedHeader(header: readonly string[], path: string, { what, fields, needed }: RecordForm): string[] {
  const problems = needed
    .filter((name) => !header.includes(name))
    .map((name) => `line 1: expected a column "${name}", found ${header.join(', ')}.`);
  const twice = header.filter((name, i) => fields.includes(name) && header.indexOf(name) !== i);
  for (const name of new Set(twice)) problems.push(`line 1: the column "${name}" stands there twice.`);
  if (problems.length > 0) throw problemFailure(path, what, problems);
  return [...header];
}

function jsonLines(text: string, path: string, { what }: RecordForm): RawRecord[] {
  const items: RawRecord[] = [];
  const problems: string[] = [];
  for (const [i, line] of text.split('\n').entries()) {
    if (line.trim() === '') continue;
    try {
      items.push({ line: i + 1, value: JSON.parse(line) });
    } catch {
      problems.push(`line ${i + 1}: expected one JSON object a line.`);
    }
  }
  if (problems.length > 0) throw problemFailure(path, what, problems);
  return items;
}

function arrayItems(bytes: Uint8Array, path: string, { what }: RecordForm): RawRecord[] {
  const value = parseJson(bytes, path, what);
  if (!Array.isArray(value)) throw problemFailure(path, what, ['the top: expected a list of records.']);
  const lines = itemLines(companionText(bytes, path, what));
  return value.map((item, i) => ({ line: lines[i] ?? 1, value: item }));
}

/** Line on which each item of a JSON array begins; the text is known to be one array. */
function itemLines(text: string): number[] {
  const lines: number[] = [];
  let line = 1;
  let depth = 0;
  let awaited = false;
  for (let i = 0; i < text.length; i++) {
    const character = text[i]!;
    if (character === '\n') line += 1;
    if (/\s/.test(character)) continue;
    if (awaited && character !== ']') lines.push(line);
    awaited = (depth === 0 && character === '[') || (depth === 1 && character === ',');
    if (character === '[' || character === '{') depth += 1;
    else if (character === ']' || character === '}') depth -= 1;
    else if (character === '"') i = endOfString(text, i);
  }
  return lines;
}

/** Place of the quotation mark that ends the string begun at `start`. */
function endOfString(text: string, start: number): number {
  let i = start + 1;
  while (i < text.length && text[i] !== '"') i += text[i] === '\\' ? 2 : 1;
  return i;
}
