import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Failure } from '@gearhold/shared';
import { afterAll, describe, expect, it } from 'vitest';
import { readWork } from './work-file.ts';

const folder = mkdtempSync(join(tmpdir(), 'gearhold-work-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

function file(name: string, content: string | Uint8Array): string {
  const path = join(folder, name);
  writeFileSync(path, content);
  return path;
}

/** The sentences of the failure, the path left out. */
async function complaints(name: string, content: string | Uint8Array): Promise<string[]> {
  const path = file(name, content);
  const failure = await readWork(path).catch((error: unknown) => error);
  if (!(failure instanceof Failure)) throw new Error('the file was taken');
  expect(failure.status).toBe(2);
  return failure.message.split('\n').map((sentence) => sentence.replace(`work file ${path}`, 'work file'));
}

const first = { time: '2026-03-02T12:15:00.000Z', vehicleId: 'T-1', action: 'hook' };

describe('the work file', () => {
  it('is read from CSV, one JSON array or an object a line, and says the same', async () => {
    const csv =
      'time,vehicleId,action,trailerId,load\n2026-03-02T06:15:00-06:00,T-1,hook,,L9\n2026-03-02T13:00:00Z,T-1,drop,R-2,\n';
    const lines = [
      '{"time":"2026-03-02T13:00:00Z","vehicleId":"T-1","action":"drop","trailerId":"R-2"}',
      '{"time":"2026-03-02T06:15:00-06:00","vehicleId":"T-1","action":"hook","trailerId":null,"load":"L9"}',
    ];
    const expected = [
      { ...first, line: 2 },
      { ...first, time: '2026-03-02T13:00:00.000Z', action: 'drop', trailerId: 'R-2', line: 3 },
    ];
    const asCsv = await readWork(file('a.csv', `\ufeff${csv}`));
    expect(asCsv).toEqual({ records: expected, repeated: 0, notRead: new Set(['load']) });
    const asArray = await readWork(file('a.json', `[\n${lines[1]},\n\n${lines[0]}]`));
    expect(asArray.records.map(({ line }) => line)).toEqual([2, 4]);
    const asLines = await readWork(file('a.ndjson', `${lines.join('\n')}\n`));
    expect(asLines.records.map(({ line }) => line)).toEqual([2, 1]);
    const bare = (records: typeof expected) => records.map(({ line, ...record }) => record);
    expect(bare(asArray.records as typeof expected)).toEqual(bare(expected));
    expect(bare(asLines.records as typeof expected)).toEqual(bare(expected));
  });

  it('counts a record once that is there twice', async () => {
    const row = '2026-03-02T06:15:00-06:00,T-1,hook\n';
    const { records, repeated } = await readWork(file('b.csv', `time,vehicleId,action\n${row}${row}`));
    expect(records).toHaveLength(1);
    expect(repeated).toBe(1);
  });

  it('may hold no record at all', async () => {
    expect((await readWork(file('c.csv', 'time,vehicleId,action\n'))).records).toEqual([]);
    expect((await readWork(file('c.json', '[]'))).records).toEqual([]);
  });

  it('is not misled by brackets and quotation marks inside text', async () => {
    const odd = '{"time":"2026-03-02T06:15:00Z",\n"vehicleId":"T-\\"[{,","action":"hook"}';
    const { records } = await readWork(file('d.json', `[${odd},\n${odd.replace('hook', 'drop')}]`));
    expect(records.map(({ line }) => line)).toEqual([1, 3]);
  });
});

describe('a mistake in the work file is a sentence with its line', () => {
  it.each([
    [
      'a.csv',
      'time,vehicleId,action\n2026-03-02T06:15:00Z,T-1,hook\n7:30,T-1,pickup\n',
      [
        'work file, at line 3, time: expected an RFC 3339 time with offset, such as 2026-03-02T06:15:00-06:00, found "7:30".',
        'work file, at line 3, action: expected one of "hook"|"drop", found "pickup".',
      ],
    ],
    [
      'a.csv',
      'time,vehicleId,action\n2026-02-30T06:15:00Z,T-1,hook\n',
      [
        'work file, at line 2, time: expected an RFC 3339 time with offset, such as 2026-03-02T06:15:00-06:00, found "2026-02-30T06:15:00Z".',
      ],
    ],
    [
      'a.csv',
      'time,truck\n',
      [
        'work file, at line 1: expected a column "vehicleId", found time, truck.',
        'work file, at line 1: expected a column "action", found time, truck.',
      ],
    ],
    ['a.csv', 'time,vehicleId,action,time\n', ['work file, at line 1: the column "time" stands there twice.']],
    [
      'a.csv',
      'time,vehicleId,action\n2026-03-02T06:15:00Z,T-1\n',
      ['work file, at line 2: expected as many cells as the header has columns, found 2.'],
    ],
    [
      'a.csv',
      'time,vehicleId,action\n"2026,T-1\n',
      ['work file, at line 2: a quotation mark is not closed, or stands inside a cell that is not quoted.'],
    ],
    [
      'a.json',
      '[\n{"time":"2026-03-02T06:15:00Z","vehicleId":"T-1"}]',
      ['work file, at line 2, action: expected one of "hook"|"drop", found nothing.'],
    ],
    ['a.json', '{}', ['work file, at the top: expected a list of records.']],
    ['a.json', '[3]', ['work file, at line 1, the top: expected object, found 3.']],
    ['a.ndjson', '\n{"time":\n', ['work file, at line 2: expected one JSON object a line.']],
    ['a.csv', '', ['work file is empty: expected a CSV file.']],
    ['a.csv', new Uint8Array([255, 254]), ['work file is not UTF-8 text: expected a CSV file.']],
    ['a.txt', 'x', ['the format of work file cannot be told from its name: expected .csv, .json, .ndjson or .jsonl.']],
  ])('%s %j', async (name, content, sentences) => {
    expect(await complaints(name, content)).toEqual(sentences);
  });

  it('names the first ten and counts the rest', async () => {
    const said = await complaints('many.csv', `time,vehicleId,action\n${'now,T-1,hook\n'.repeat(12)}`);
    expect(said).toHaveLength(11);
    expect(said.at(-1)).toBe('2 more like these follow.');
  });

  it('says that there is no such file', async () => {
    await expect(readWork(join(folder, 'none.csv'))).rejects.toThrow(/none\.csv cannot be read: there is no such file/);
  });
});
