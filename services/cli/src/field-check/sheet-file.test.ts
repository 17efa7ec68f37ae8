import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { csvTemplate } from './columns.ts';
import { readSheet } from './sheet-file.ts';

const folder = mkdtempSync(join(tmpdir(), 'gearhold-sheet-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const path = join(folder, 'sheet.csv');

async function read(...lines: string[]) {
  writeFileSync(path, `${lines.join('\n')}\n`);
  return readSheet(path);
}

async function mistakes(...lines: string[]): Promise<string[]> {
  try {
    await read(...lines);
  } catch (error) {
    return (error as Error).message.split('\n').map((line) => line.replace(`field sheet ${path}`, 'sheet'));
  }
  return [];
}

const head = 'date,zone,vehicleId,kind,contactTime,seatedTime,tugTests,pause,pauseSeconds,parkingBrakeSet';

describe('a filled sheet', () => {
  it('is read row by row, blank lines left out, hook and drop taken as coupling and uncoupling', async () => {
    const rows = await read(
      head,
      '2026-03-02,America/Chicago,T-1,hook,06:14:05,06:14:09,2,,,yes',
      ',,,,,,,,,',
      '',
      '2026-03-02,UTC,T-1,DROP,,,,,,',
    ).catch((error: Error) => error.message);
    expect(rows).toMatch(/at line 5, .*\(standTime\): no time is written/);
    const [only] = await read(head, '2026-03-02,America/Chicago,T-1,hook,06:14:05,06:14:09,2,,,yes');
    expect(only).toMatchObject({ line: 2, vehicleId: 'T-1', kind: 'coupling', zone: 'America/Chicago' });
    expect(only?.times.get('contactTime')).toBe(Date.parse('2026-03-02T12:14:05Z'));
    expect(only?.steps).toMatchObject({ tugTests: 2, parkingBrakeSet: true, pause: null });
    expect([only?.fromMs, only?.untilMs].map((ms) => new Date(ms!).toISOString().slice(11, 19))).toEqual([
      '12:14:05',
      '12:14:09',
    ]);
  });

  it('may come from a spreadsheet: byte order mark, semicolons, decimal commas, quoted line breaks, other order', async () => {
    const [row] = await read(
      '\uFEFFkind;remarks;VEHICLEID;standTime;pause;pauseSeconds',
      'uncoupling;"legs down; slow\nsecond line";T-1;2026-03-02T06:14:05-06:00;under-nose;34,5',
    );
    expect(row).toMatchObject({ line: 2, vehicleId: 'T-1', remarks: 'legs down; slow\nsecond line' });
    expect(row?.steps.pauseSeconds).toBe(34.5);
  });

  it('takes the template as it is, and a stopwatch length in minutes', async () => {
    expect(await read(csvTemplate().trim())).toEqual([]);
    const [row] = await read(
      'vehicleId,kind,standTime,pause,pauseSeconds',
      'T,drop,2026-03-02T06:14:05Z,before-pull,1:05',
    );
    expect(row?.steps.pauseSeconds).toBe(65);
  });

  it('names line and column of every mistake at once', async () => {
    expect(
      await mistakes(
        head,
        '2.3.2026,Chicago,,hok,06:14:05,,,,,',
        '2026-03-02,UTC,T-1,coupling,6.14,06:14,many,later,a while,perhaps',
        '2026-03-02,UTC,T-1,coupling,06:14:05,06:14,,,,',
        ',,T-1,coupling,06:14:05,,,,,',
        '2026-03-02,UTC,T-1,coupling,06:14:05,,,none,,',
      ),
    ).toEqual([
      'sheet, at line 2, column 1 (date): expected a date such as 2026-03-02, found "2.3.2026".',
      'sheet, at line 2, column 2 (zone): expected a time zone such as America/Chicago, UTC or -06:00, found "Chicago".',
      'sheet, at line 2, column 3 (vehicleId): expected the vehicleId as it stands in the readings, found a blank cell.',
      'sheet, at line 2, column 4 (kind): expected coupling, uncoupling or none, found "hok".',
      'sheet, at line 3, column 7 (tugTests): expected a count, 0 or more, found "many".',
      'sheet, at line 3, column 8 (pause): expected none, before-pull or under-nose, found "later".',
      'sheet, at line 3, column 9 (pauseSeconds): expected seconds, 0 or more, such as 45 or 1:05, found "a while".',
      'sheet, at line 3, column 10 (parkingBrakeSet): expected yes or no, found "perhaps".',
      'sheet, at line 4, column 6 (seatedTime): expected seconds too, such as 06:14:05: a time to the minute cannot be held against bounds, found "06:14".',
      'sheet, at line 5, column 5 (contactTime): a time of day needs the row\'s date: expected one such as 2026-03-02 in "date", found "06:14:05".',
      'One more like these follows.',
    ]);
    expect(await mistakes(head, '2026-03-02,UTC,T-1,coupling,06:14:05,,,none,,')).toEqual([
      'sheet, at line 2, column 8 (pause): no part of coupling: expected it blank, found "none".',
    ]);
  });

  it('refuses times and steps that cannot go together', async () => {
    const wide = 'vehicleId,kind,watchedFrom,watchedUntil,standTime,pullOutTime,clearTime,pause,pauseSeconds';
    const at = (time: string) => `2026-03-02T${time}Z`;
    expect(
      await mistakes(
        wide,
        `T-1,uncoupling,,,${at('06:10:00')},${at('06:09:00')},,,`,
        `T-2,uncoupling,${at('06:20:00')},${at('06:30:00')},${at('06:10:00')},,,,`,
        `T-3,uncoupling,,,${at('06:10:00')},,,none,12`,
        `T-4,none,${at('06:20:00')},,,,,,`,
        `T-5,uncoupling,,,${at('06:10:00')},,,,12`,
      ),
    ).toEqual([
      'sheet, at line 2, column 6 (pullOutTime): this comes 60 s before standTime: one of the two is wrong.',
      'sheet, at line 3, column 3 (watchedFrom): a time of the row comes before the watch began.',
      'sheet, at line 4, column 9 (pauseSeconds): there was no pause by "pause": expected 0 or blank, found "12".',
      'sheet, at line 5, column 4 (watchedUntil): a row of kind none needs both ends of the watch.',
      'sheet, at line 6, column 8 (pause): expected where the pause was, before-pull or under-nose, or none.',
    ]);
  });

  it('refuses one coupling on two rows', async () => {
    const row = '2026-03-02,UTC,T-1,coupling,06:14:05,06:14:09,,,,';
    expect(await mistakes(head, row, row.replace(':09', ':11'))).toEqual([
      'sheet, at line 3: this is the coupling of line 2 again, or one of their times is wrong: expected one row for each.',
    ]);
  });

  it('refuses columns that it does not know, that stand twice or that are missing', async () => {
    expect(await mistakes('vehicleid,contactTim,date,date', 'T-1,,,')).toEqual([
      'sheet, at line 1, column 2: unknown column "contactTim": expected the columns of gearhold field-check --template.',
      'sheet, at line 1, column 4: the column date stands twice.',
      'sheet, at line 1: the column kind is missing.',
    ]);
  });

  it('says what is wrong with a file that is no sheet', async () => {
    expect(await mistakes('')).toEqual(['sheet is empty: expected the header row of the template.']);
    expect(await mistakes('vehicleId,kind', '"T-1,none')).toEqual([
      expect.stringMatching(
        /^sheet, at line \d: this is not CSV, a quote is opened or closed where it should not be\.$/,
      ),
    ]);
    expect(await mistakes('vehicleId,kind', 'T-1,none,x')).toEqual([
      'sheet, at line 2, column 3: the header has 2 columns: expected quotes around a text with a comma in it.',
    ]);
    await expect(readSheet(join(folder, 'none.csv'))).rejects.toThrow(/cannot be read: there is no such file/);
  });
});
