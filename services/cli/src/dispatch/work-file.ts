/**
 * The work file: records of dispatch as CSV with a header row, as one JSON array, or as one JSON object a line. Whatever is
 * wrong ends in a {@link Failure} of status 2 that names the line, the field and what was expected.
 */
import { type RawRecord, readRecords, recorded } from '@gearhold/operations/record-file';
import { type WorkRecord, workRecordSchema } from '@gearhold/schemas';
import { problemFailure, problemsOf } from '@gearhold/shared';

export type WrittenRecord = WorkRecord & {
  /** Line of the file on which it begins (JSON) or ends (CSV). */
  readonly line: number;
};

export interface WorkFile {
  /** By time, then line. */
  readonly records: readonly WrittenRecord[];
  /** Records that repeat another in everything, counted once. */
  readonly repeated: number;
  /** Columns or keys that are not read. */
  readonly notRead: ReadonlySet<string>;
}

const what = 'work file';
const fields = Object.keys(workRecordSchema.shape);
const needed = ['time', 'vehicleId', 'action'];

/** @throws Failure of status 2 */
export async function readWork(path: string): Promise<WorkFile> {
  return checked(await readRecords(path, { what, fields, needed }), path);
}

function checked(items: readonly RawRecord[], path: string): WorkFile {
  const problems: string[] = [];
  const notRead = new Set<string>();
  const seen = new Set<string>();
  const records: WrittenRecord[] = [];
  let repeated = 0;
  for (const { line, value } of items) {
    const given = recorded(value);
    const result = workRecordSchema.safeParse(given);
    if (!result.success) {
      problems.push(...problemsOf(result.error, given).map((problem) => `line ${line}, ${problem}`));
      continue;
    }
    for (const key of Object.keys(given as object)) if (!fields.includes(key)) notRead.add(key);
    const key = JSON.stringify(fields.map((field) => result.data[field as keyof WorkRecord] ?? null));
    if (seen.has(key)) repeated += 1;
    else records.push({ ...result.data, line });
    seen.add(key);
  }
  if (problems.length > 0) throw problemFailure(path, what, problems);
  records.sort((a, b) => (a.time === b.time ? a.line - b.line : a.time < b.time ? -1 : 1));
  return { records, repeated, notRead };
}
