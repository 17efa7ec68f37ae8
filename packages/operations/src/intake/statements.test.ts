import { type Policy, parsePolicy } from '@gearhold/policy';
import {
  dirtyVehicles,
  type Engine,
  migrate,
  noteAnalysed,
  openMemory,
  policyValidities,
  readDrivers,
} from '@gearhold/store';
import { afterAll, afterEach, beforeAll, expect, test } from 'vitest';
import { driversOf } from './driver-setting.ts';
import { driversKept, pseudonymOf } from './drivers-kept.ts';
import { storeStatements } from './statements.ts';

const nowMs = Date.UTC(2026, 2, 3, 8);
const named = { mode: 'named', driver: (id: string | null) => id } as const;
let engine: Engine;

beforeAll(async () => {
  engine = await openMemory();
  await migrate(engine, 0);
  for (const vehicleId of ['T-1', 'T-2']) {
    await engine.query(
      `insert into vehicle_progress (vehicle_id, first_reading_time, last_reading_time) values ($1, '2026-01-01', '2026-03-01')`,
      [vehicleId],
    );
  }
}, 120_000);
afterAll(() => engine.close());
afterEach(async () => {
  await engine.query('truncate setting, policy_validity, driver, vehicle, site cascade');
  for (const vehicleId of ['T-1', 'T-2']) await engine.transaction((t) => noteAnalysed(t, vehicleId, nowMs));
});

async function due(): Promise<string[]> {
  return (await dirtyVehicles(engine)).map(({ vehicleId }) => vehicleId);
}

async function settled(): Promise<void> {
  for (const vehicleId of await due()) await engine.transaction((t) => noteAnalysed(t, vehicleId, nowMs));
}

function policy(minSeconds: number): Policy {
  const result = parsePolicy({ version: 1, checks: { 'gear-hold-pause': { minSeconds } } });
  if (!('policy' in result)) throw new Error('the policy was refused');
  return result.policy;
}

test('a truck of which something else is stated is due again, and none where the same is said again', async () => {
  const vehicles = [{ vehicleId: 'T-1', terminal: 'north' }];
  await storeStatements(engine, { vehicles }, named, nowMs);
  expect(await due()).toEqual(['T-1']);
  await settled();
  await storeStatements(engine, { vehicles }, named, nowMs);
  expect(await due()).toEqual([]);
  const sites = [{ siteId: 'yard', circle: { latitude: 41, longitude: -100, radiusM: 100 } }];
  await storeStatements(engine, { vehicles, sites }, named, nowMs);
  expect(await due()).toEqual(['T-1', 'T-2']);
});

test('the first policy holds always, another from now on or from when it is said to; the same again says nothing', async () => {
  await storeStatements(engine, { policy: policy(20) }, named, nowMs);
  expect(await due()).toEqual(['T-1', 'T-2']);
  await settled();
  await storeStatements(engine, { policy: policy(20) }, named, nowMs + 1);
  await storeStatements(engine, { policy: policy(40) }, named, nowMs + 2);
  // What came before it is judged as it was.
  expect(await due()).toEqual([]);
  const fromMs = Date.UTC(2026, 1, 1);
  await storeStatements(engine, { policy: policy(25), policyFromMs: fromMs }, named, nowMs + 3);
  const validities = (await policyValidities(engine)).map((one) => [
    one.fromMs,
    /"minSeconds":(\d+)/.exec(one.document)?.[1],
  ]);
  expect(validities).toEqual([
    [Number.NEGATIVE_INFINITY, '20'],
    [fromMs, '25'],
    [nowMs + 2, '40'],
  ]);
  expect((await dirtyVehicles(engine)).map(({ dirtyFromMs }) => dirtyFromMs)).toEqual([fromMs, fromMs]);
});

const drivers = [
  { driverId: 'D-1', name: 'Ada Example', terminal: 'north', to: '2026-02-28' },
  { driverId: 'D-1', terminal: 'south', from: '2026-03-01' },
];

test('drivers go in as they may: by name, under pseudonyms without one, or not at all', async () => {
  await storeStatements(engine, { drivers }, named, nowMs);
  expect(await readDrivers(engine)).toEqual([
    { driverId: 'D-1', name: 'Ada Example', terminal: 'north', from: null, until: '2026-03-01' },
    { driverId: 'D-1', name: 'Ada Example', terminal: 'south', from: '2026-03-01', until: null },
  ]);
  const key = new Uint8Array(32).fill(1);
  await storeStatements(engine, { drivers }, { mode: 'pseudonym', driver: driversKept('pseudonym', key) }, nowMs);
  const kept = await readDrivers(engine);
  expect(kept.map(({ driverId, name }) => [driverId, name])).toEqual(Array(2).fill([pseudonymOf('D-1', key), null]));
  await engine.query('truncate driver cascade');
  await storeStatements(engine, { drivers }, { mode: 'none', driver: () => null }, nowMs);
  expect(await readDrivers(engine)).toEqual([]);
});

test('how drivers are kept is said once and stands; the key is made once', async () => {
  expect(await driversOf(engine, undefined, nowMs)).toMatchObject({ mode: 'named', before: null });
  const first = await driversOf(engine, 'pseudonym', nowMs);
  expect(first).toMatchObject({ mode: 'pseudonym', before: 'named' });
  const later = await driversOf(engine, undefined, nowMs);
  expect(later).toMatchObject({ mode: 'pseudonym', before: null });
  expect(later.driver('D-1')).toBe(first.driver('D-1'));
  expect(first.driver('D-1')).toMatch(/^P-/);
});
