import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Failure } from '@gearhold/shared';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { readDriversFile } from './drivers-file.ts';

let folder: string;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'drivers-'));
});
afterAll(() => rmSync(folder, { recursive: true }));

function write(name: string, text: string): string {
  const path = join(folder, name);
  writeFileSync(path, text);
  return path;
}

test('CSV and JSON say the same; what is left out is not there', async () => {
  const entries = [
    { driverId: 'D-1', name: 'Ada Example', terminal: 'cairn', to: '2026-02-28' },
    { driverId: 'D-1', terminal: 'larch', from: '2026-03-01' },
    { driverId: 'D-2', terminal: 'cairn' },
  ];
  const csv = write(
    'd.csv',
    'driverId,name,terminal,from,to,shoe\nD-2,,cairn,,,43\nD-1,,larch,2026-03-01,,\nD-1,Ada Example,cairn,,2026-02-28,\n',
  );
  expect(await readDriversFile(csv)).toEqual(entries);
  expect(await readDriversFile(write('d.json', JSON.stringify(entries)))).toEqual(entries);
});

test('what cannot be right is told by line: ends, overlaps, two names, a missing id', async () => {
  const csv = write(
    'bad.csv',
    [
      'driverId,name,terminal,from,to',
      'D-1,Ada,cairn,2026-03-01,2026-02-01',
      'D-2,Ben,cairn,,',
      'D-2,Bo,larch,2026-01-01,',
      ',,,,',
      'D-3,,,2026-01-01,',
    ].join('\n'),
  );
  try {
    await readDriversFile(csv);
    expect.unreachable();
  } catch (error) {
    if (!(error instanceof Failure)) throw error;
    for (const text of ['line 2, to', 'line 4, name', 'line 4, from', 'line 5, driverId', 'line 6, terminal'])
      expect(error.message).toContain(text);
  }
});
