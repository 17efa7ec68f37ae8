/**
 * The drivers file: `driverId`, `name`, `terminal`, `from`, `to` as CSV, one JSON array or JSON lines. One driver may stand there
 * several times, once for each stay at a terminal; stays of one driver may not overlap.
 */
import { type DriverEntry, driverEntrySchema } from '@gearhold/schemas';
import { problemFailure, problemsOf } from '@gearhold/shared';
import { readRecords, recorded } from './record-file.ts';

const form = { what: 'drivers file', fields: Object.keys(driverEntrySchema.shape), needed: ['driverId', 'terminal'] };

interface Written extends DriverEntry {
  readonly line: number;
}

/** Entries by driver, then first day. @throws Failure of status 2 that names every line that cannot be used */
export async function readDriversFile(path: string): Promise<DriverEntry[]> {
  const problems: string[] = [];
  const entries: Written[] = [];
  for (const { line, value } of await readRecords(path, form)) {
    const given = recorded(value);
    const result = driverEntrySchema.safeParse(given);
    if (result.success) entries.push({ ...result.data, line });
    else problems.push(...problemsOf(result.error, given).map((problem) => `line ${line}, ${problem}`));
  }
  entries.sort((a, b) => compare(a.driverId, b.driverId) || compare(a.from ?? '', b.from ?? '') || a.line - b.line);
  for (const [i, entry] of entries.entries()) {
    const before = entries[i - 1];
    if (before?.driverId !== entry.driverId) continue;
    if (before.name !== undefined && entry.name !== undefined && before.name !== entry.name)
      problems.push(`line ${entry.line}, name: expected one name a driver; line ${before.line} has another one.`);
    if (
      before.terminal !== undefined &&
      entry.terminal !== undefined &&
      (before.to ?? '9999-12-31') >= (entry.from ?? '')
    )
      problems.push(`line ${entry.line}, from: expected a day after the last one of line ${before.line}.`);
  }
  if (problems.length > 0) throw problemFailure(path, form.what, problems);
  return entries.map(({ line: _, ...entry }) => entry);
}

function compare(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0;
}
