/** Files and what the fleet states, on every engine: what was stored comes back, and what is stated again changes nothing. */
import type { Vehicle } from '@gearhold/episodes';
import type { Site } from '@gearhold/policy';
import {
  beginInputFile,
  failInputFile,
  finishInputFile,
  inputFilesIn,
  noteFileProgress,
  policyDocument,
  policyValidities,
  readDrivers,
  readRejects,
  readSites,
  readVehicles,
  registerInputFile,
  rejectCounts,
  settingOr,
  statePolicy,
  storeDrivers,
  storeRejects,
  storeSites,
  storeVehicles,
} from '@gearhold/store';
import { expect, it } from 'vitest';
import { nowMs, onEveryEngine } from './engines.ts';

const sha256 = 'ab'.repeat(32);

onEveryEngine('what is stated', (store) => {
  it('of a file is its fate and where to go on, under its content whatever its name', async () => {
    const file = { sha256, name: 'a\0b.csv', bytes: 123 };
    const first = await registerInputFile(store(), file, nowMs);
    expect(first).toMatchObject({ name: 'a\uFFFDb.csv', state: 'arriving', firstSeenMs: nowMs, resume: null });
    await beginInputFile(store(), sha256, nowMs + 1);
    const counts = { rowsRead: 10, rowsAccepted: 8, rowsRejected: 2, rowsNew: 5, rowsChanged: 1 };
    await noteFileProgress(store(), sha256, { resume: '{"offset": 42}', counts: '{"late":2}', ...counts });
    await noteFileProgress(store(), sha256, { resume: '{"offset": 84}', counts: '{"late":2}', ...counts });
    const again = await registerInputFile(store(), { ...file, name: 'other.csv' }, nowMs + 2);
    expect(again).toMatchObject({
      ...counts,
      name: first.name,
      state: 'reading',
      resume: '{"offset": 84}',
      rowsNew: 10,
      rowsChanged: 2,
    });
    await failInputFile(store(), sha256, 'it ended in the middle', nowMs + 3);
    expect(await inputFilesIn(store(), ['failed'])).toMatchObject([{ sha256, problem: 'it ended in the middle' }]);
    await beginInputFile(store(), sha256, nowMs + 4);
    await finishInputFile(store(), sha256, nowMs + 5);
    expect(await inputFilesIn(store(), ['done'])).toMatchObject([
      { resume: null, problem: null, stateSinceMs: nowMs + 5 },
    ]);
    expect(await inputFilesIn(store(), ['arriving', 'reading', 'failed'])).toEqual([]);
  });

  it('of rejected rows is kept whole and once, whatever bytes they hold', async () => {
    const rejects = [
      { position: 0, line: 7, reason: 'time', text: 'T-1;\0;"ü";\u{1f69b}', cut: false },
      { position: 1, line: 7, reason: 'late', text: '', cut: true },
    ];
    await storeRejects(store(), sha256, rejects);
    await storeRejects(store(), sha256, rejects);
    expect(await Array.fromAsync(readRejects(store(), sha256))).toEqual(rejects);
    expect(await rejectCounts(store(), sha256)).toEqual({ late: 1, time: 1 });
  });

  it('of trucks replaces what was said of those that a file names, and of no others', async () => {
    const entries: Vehicle[] = [
      { vehicleId: 'T-1', terminal: 'north' },
      { vehicleId: 'T-1', terminal: 'south', validFrom: '2026-01-01' },
      { vehicleId: 'T-2', use: 'yard' },
    ];
    const state = (vehicles: Vehicle[]) => store().transaction((transaction) => storeVehicles(transaction, vehicles));
    expect(await state(entries)).toEqual(['T-1', 'T-2']);
    expect(await readVehicles(store())).toEqual(entries);
    expect(await state(entries)).toEqual([]);
    expect(await state([{ vehicleId: 'T-1', terminal: 'west' }])).toEqual(['T-1']);
    expect(await readVehicles(store())).toEqual([{ vehicleId: 'T-1', terminal: 'west' }, entries[2]]);
  });

  it('of sites is the whole truth, in the order of the file', async () => {
    const site = (siteId: string): Site => ({
      siteId,
      terminal: 'north',
      circle: { latitude: 41, longitude: -95, radiusM: 100 },
    });
    const state = (sites: Site[]) => store().transaction((transaction) => storeSites(transaction, sites));
    expect(await state([site('z'), site('a')])).toBe(true);
    expect(await readSites(store())).toEqual([site('z'), site('a')]);
    expect(await state([site('z'), site('a')])).toBe(false);
    expect(await state([site('a')])).toBe(true);
    expect(await readSites(store())).toEqual([site('a')]);
  });

  it('of drivers is who they are and where they belonged when', async () => {
    const entries = [
      { driverId: 'D-1', name: null, terminal: 'north', from: null, until: '2026-01-01' },
      { driverId: 'D-1', name: null, terminal: 'south', from: '2026-01-01', until: null },
    ];
    await store().transaction((transaction) => storeDrivers(transaction, entries));
    await store().transaction((transaction) => storeDrivers(transaction, entries));
    expect(await readDrivers(store())).toEqual(entries);
  });

  it('of the policy holds from an instant on, and its words are kept', async () => {
    const state = (document: string, fromMs: number) =>
      store().transaction((transaction) => statePolicy(transaction, document, fromMs, nowMs));
    const first = await state('{"version": 1}', Number.NEGATIVE_INFINITY);
    const second = await state('{"version":1}', nowMs);
    expect([first.changed, second.changed]).toEqual([true, true]);
    expect((await state('{"version":1}', nowMs)).changed).toBe(false);
    expect(await policyValidities(store())).toEqual([
      { fromMs: Number.NEGATIVE_INFINITY, policyId: first.policyId, document: '{"version": 1}' },
      { fromMs: nowMs, policyId: second.policyId, document: '{"version":1}' },
    ]);
    expect(await policyDocument(store(), first.policyId)).toBe('{"version": 1}');
  });

  it('first of a setting is what all get who ask at once', async () => {
    const asked = await Promise.all(['"a"', '"b"', '"c"'].map((value) => settingOr(store(), 'key', value, nowMs)));
    expect(new Set(asked).size).toBe(1);
  });
});
