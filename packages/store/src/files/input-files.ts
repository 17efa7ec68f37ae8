/**
 * Input files and their fate, by content: the same bytes are one file, whatever they are called and however often they
 * come. `arriving` is seen but not begun, `reading` is begun, `done` and `failed` are ends. A file that is read carries the
 * position to go on from; it moves in the transaction that stores the rows before it.
 */
import type { Statements } from '../engine/engine.ts';
import { instant } from '../engine/values.ts';

export type InputFileState = 'arriving' | 'reading' | 'done' | 'failed';

export interface InputFile {
  /** Of the bytes, hexadecimal. */
  readonly sha256: string;
  /** The name it first came under. */
  readonly name: string;
  readonly bytes: number;
  readonly state: InputFileState;
  /** ms since the epoch. */
  readonly firstSeenMs: number;
  readonly stateSinceMs: number;
  /** Where to go on, in the reader's own words (JSON text); null at the beginning. */
  readonly resume: string | null;
  readonly rowsRead: number;
  readonly rowsAccepted: number;
  readonly rowsRejected: number;
  readonly rowsNew: number;
  readonly rowsChanged: number;
  /** What else the reader counted (JSON text). */
  readonly counts: string | null;
  /** Why it failed. */
  readonly problem: string | null;
}

/** What was read so far, in all. */
export interface FileProgress {
  /** JSON text; null where the file cannot be entered in its middle. */
  readonly resume: string | null;
  readonly rowsRead: number;
  readonly rowsAccepted: number;
  readonly rowsRejected: number;
  /** Of the batch just stored: they are added up. */
  readonly rowsNew: number;
  readonly rowsChanged: number;
  /** JSON text. */
  readonly counts: string | null;
}

const columns = `sha256, name, bytes, state, first_seen as "firstSeenMs", state_since as "stateSinceMs", resume,
  rows_read as "rowsRead", rows_accepted as "rowsAccepted", rows_rejected as "rowsRejected", rows_new as "rowsNew",
  rows_changed as "rowsChanged", counts, problem`;

/** Notes that a file is there, and gives what is known of it: an old one keeps its fate. */
export async function registerInputFile(
  statements: Statements,
  file: { readonly sha256: string; readonly name: string; readonly bytes: number },
  nowMs: number,
): Promise<InputFile> {
  await statements.query(
    `insert into input_file (sha256, name, bytes, state, first_seen, state_since) values ($1, $2, $3, 'arriving', $4, $4)
    on conflict (sha256) do nothing`,
    [file.sha256, withoutNul(file.name), file.bytes, instant(nowMs)],
  );
  return (await inputFile(statements, file.sha256))!;
}

export async function inputFile(statements: Statements, sha256: string): Promise<InputFile | null> {
  const [file] = await statements.query<InputFile>(`select ${columns} from input_file where sha256 = $1`, [sha256]);
  return file ?? null;
}

/** Files in any of the given states, in the order in which they were first seen. */
export function inputFilesIn(statements: Statements, states: readonly InputFileState[]): Promise<InputFile[]> {
  const sql = `select ${columns} from input_file where state = any ($1::text[]) order by first_seen, sha256`;
  return statements.query<InputFile>(sql, [states]);
}

/** Files, the newest first, from before one on. */
export function inputFilesPage(
  statements: Statements,
  before: { readonly firstSeenMs: number; readonly sha256: string } | null,
  limit: number,
): Promise<InputFile[]> {
  return statements.query<InputFile>(
    `select ${columns} from input_file
    where $1::timestamptz is null or (first_seen, sha256) < ($1::timestamptz, $2)
    order by first_seen desc, sha256 desc limit $3`,
    [before === null ? null : instant(before.firstSeenMs), before?.sha256 ?? '', limit],
  );
}

/** Reading begins, or begins again: a file that had failed may have been mended meanwhile. */
export async function beginInputFile(statements: Statements, sha256: string, nowMs: number): Promise<void> {
  await statements.query(
    `update input_file set state = 'reading', state_since = $2, problem = null where sha256 = $1 and state <> 'reading'`,
    [sha256, instant(nowMs)],
  );
}

/** Moves the position on, in the transaction that stores the rows before it. */
export async function noteFileProgress(statements: Statements, sha256: string, progress: FileProgress): Promise<void> {
  await statements.query(
    `update input_file set resume = $2, rows_read = $3, rows_accepted = $4, rows_rejected = $5,
      rows_new = rows_new + $6, rows_changed = rows_changed + $7, counts = $8 where sha256 = $1`,
    [
      sha256,
      progress.resume,
      progress.rowsRead,
      progress.rowsAccepted,
      progress.rowsRejected,
      progress.rowsNew,
      progress.rowsChanged,
      progress.counts,
    ],
  );
}

/** The file was read to its end. */
export async function finishInputFile(statements: Statements, sha256: string, nowMs: number): Promise<void> {
  await statements.query(
    `update input_file set state = 'done', state_since = $2, resume = null, problem = null where sha256 = $1`,
    [sha256, instant(nowMs)],
  );
}

/** The file could not be read to its end; what was read of it stays. */
export async function failInputFile(
  statements: Statements,
  sha256: string,
  problem: string,
  nowMs: number,
): Promise<void> {
  await statements.query(`update input_file set state = 'failed', state_since = $2, problem = $3 where sha256 = $1`, [
    sha256,
    instant(nowMs),
    withoutNul(problem),
  ]);
}

/** PostgreSQL's text holds no NUL character. */
function withoutNul(text: string): string {
  return text.replaceAll('\0', '\uFFFD');
}
