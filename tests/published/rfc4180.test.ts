/**
 * The CSV reader against RFC 4180 and a suite that others wrote.
 *
 * Sources: RFC 4180, section 2, rules 1 to 7 (quoted from memory); npm package csv-spectrum 2.0.0 (BSD-2-Clause), twelve files
 * with their contents as JSON. Eleven follow the RFC; `location_coordinates` writes inch marks into a cell without quotes,
 * which rule 5 forbids, and that line is refused.
 */
import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { Readable } from 'node:stream';
import { fileURLToPath } from 'node:url';
import { IntakeReport, readReadings } from '@gearhold/signals';
import { describe, expect, test } from 'vitest';
import { CsvSplitter } from '../../packages/signals/src/intake/csv.ts';

const comma = 44;

/** All records as text, read in pieces of a size, and the reasons of what was refused. */
function readRecords(bytes: Uint8Array, pieceSize: number): { records: string[][]; refused: string[] } {
  const records: string[][] = [];
  const refused: string[] = [];
  const splitter = new CsvSplitter(comma, {
    record: ({ bytes, starts, ends, count }) => {
      const cells = Array.from({ length: count }, (_, c) => Buffer.from(bytes.subarray(starts[c], ends[c])).toString());
      records.push(cells);
    },
    reject: (reason) => refused.push(reason),
  });
  for (let i = 0; i < bytes.length; i += pieceSize) splitter.push(bytes.slice(i, i + pieceSize));
  splitter.end();
  return { records, refused };
}

/** Records as objects by the names of the first one. */
function readObjects(bytes: Uint8Array, pieceSize: number): Record<string, string>[] {
  const { records, refused } = readRecords(bytes, pieceSize);
  expect(refused).toEqual([]);
  const [names = [], ...rows] = records;
  return rows.map((row) => {
    expect(row).toHaveLength(names.length);
    return Object.fromEntries(names.map((name, c) => [name, row[c] ?? '']));
  });
}

const suite = dirname(fileURLToPath(import.meta.resolve('csv-spectrum')));
const cases = readdirSync(join(suite, 'csvs')).map((file) => file.replace('.csv', ''));

test('the one file that breaks rule 5 loses that line and nothing else', () => {
  const { records, refused } = readRecords(readFileSync(join(suite, 'csvs', 'location_coordinates.csv')), 4096);
  expect(records).toEqual([['Contact Phone Number', 'Location Coordinates', 'Cities', 'Counties']]);
  expect(refused).toEqual(['quotes']);
});

test('the suite is all here', () => {
  expect(cases).toHaveLength(12);
});

describe.each([1, 2, 3, 7, 4096])('csv-spectrum, read %d bytes at a time', (pieceSize) => {
  test.each(cases.filter((name) => name !== 'location_coordinates'))('%s', (name) => {
    const found = readObjects(readFileSync(join(suite, 'csvs', `${name}.csv`)), pieceSize);
    const answer: unknown = JSON.parse(readFileSync(join(suite, 'json', `${name}.json`), 'utf8'));
    expect(found).toEqual(answer);
  });
});

describe.each([1, 4096])('RFC 4180, section 2, read %d bytes at a time', (pieceSize) => {
  const read = (text: string) => readRecords(Buffer.from(text), pieceSize);

  test.each([
    [
      '1: a line is a record',
      'aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n',
      [
        ['aaa', 'bbb', 'ccc'],
        ['zzz', 'yyy', 'xxx'],
      ],
    ],
    [
      '2: the last line may end without a break',
      'aaa,bbb\r\nzzz,yyy',
      [
        ['aaa', 'bbb'],
        ['zzz', 'yyy'],
      ],
    ],
    ['4: spaces belong to the cell', ' aaa, bbb ,c\r\n', [[' aaa', ' bbb ', 'c']]],
    [
      '5: quotes may enclose a cell',
      '"aaa","bbb","ccc"\r\nzzz,yyy,xxx',
      [
        ['aaa', 'bbb', 'ccc'],
        ['zzz', 'yyy', 'xxx'],
      ],
    ],
    [
      '6: breaks, quotes and commas within quotes',
      '"aaa","b\r\nbb","c,c"\r\nzzz,yyy,xxx',
      [
        ['aaa', 'b\r\nbb', 'c,c'],
        ['zzz', 'yyy', 'xxx'],
      ],
    ],
    ['7: a doubled quote is one', '"aaa","b""bb","ccc"', [['aaa', 'b"bb', 'ccc']]],
  ])('rule %s', (_, text, records) => {
    expect(read(text)).toEqual({ records, refused: [] });
  });

  test('a quote inside a cell without quotes breaks rule 5: that line is refused, the next one is read', () => {
    expect(read('a,b\nx"y,2\n3,4\n')).toEqual({
      records: [
        ['a', 'b'],
        ['3', '4'],
      ],
      refused: ['quotes'],
    });
  });
});

test('readings survive quoting: a vehicle id with commas and quotes is that vehicle', async () => {
  const text = 'time,vehicleId,speedKph\r\n"2026-03-02T06:00:00Z","T ""7"", north","12.5"\r\n';
  const report = new IntakeReport();
  const batches = readReadings(Readable.from([Buffer.from(text)]), {
    format: 'csv',
    fileIndex: 0,
    fileName: 'a.csv',
    report,
  });
  const ids: string[] = [];
  for await (const batch of batches) ids.push(...batch.vehicleIds.slice(0, batch.length));
  expect(ids).toEqual(['T "7", north']);
  expect(report.rowsRejected).toBe(0);
});
