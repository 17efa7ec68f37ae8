import { mkdirSync, mkdtempSync, rmSync, symlinkSync, utimesSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Failure } from '@gearhold/shared';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { readInbox } from './inbox.ts';

const nowMs = Date.UTC(2026, 2, 3, 9);
let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'inbox-'));
});
afterEach(() => rmSync(folder, { recursive: true }));

function put(name: string, secondsAgo: number): string {
  const path = join(folder, name);
  writeFileSync(path, 'time,vehicleId\n');
  utimesSync(path, nowMs / 1000 - secondsAgo, nowMs / 1000 - secondsAgo);
  return path;
}

test('takes what has been at rest for a minute, the earliest first, in folders too', async () => {
  mkdirSync(join(folder, 'north'));
  const later = put('a.csv.gz', 60);
  const earlier = put('north/b.ndjson', 3600);
  const same = put('b.json', 60);
  expect(await readInbox(folder, nowMs)).toEqual({ ready: [earlier, later, same], unsettled: [], unknown: [] });
});

test('leaves what was written within the minute, or is dated ahead, and names what it does not know', async () => {
  const fresh = put('fresh.csv', 59);
  const ahead = put('ahead.csv', -300);
  const sheet = put('sheet.xlsx', 3600);
  for (const name of ['.hidden.csv', 'upload.csv.part', 'upload.csv.tmp']) put(name, 3600);
  expect(await readInbox(folder, nowMs)).toEqual({ ready: [], unsettled: [ahead, fresh], unknown: [sheet] });
});

test('follows a link to a file and none to a folder; a broken one is no file', async () => {
  const real = put('a.csv', 100);
  symlinkSync(real, join(folder, 'link.csv'));
  symlinkSync(folder, join(folder, 'circle'));
  symlinkSync(join(folder, 'gone'), join(folder, 'broken.csv'));
  expect((await readInbox(folder, nowMs)).ready).toEqual([real, join(folder, 'link.csv')]);
});

test('a folder that is not there is a failure with a sentence', async () => {
  const missing = readInbox(join(folder, 'none'), nowMs);
  await expect(missing).rejects.toBeInstanceOf(Failure);
  await expect(missing).rejects.toThrow(/the inbox .*none cannot be read: there is no such file or folder\./);
});
