import { mkdtempSync, rmSync, utimesSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { exitStatus } from '@gearhold/shared';
import { contractMapping } from '@gearhold/signals';
import { type Engine, migrate, noteAnalysed, openMemory, placeHold } from '@gearhold/store';
import { afterAll, afterEach, beforeAll, beforeEach, expect, test } from 'vitest';
import { dayWindow } from '../day/window.ts';
import type { NightOutcome } from './outcome.ts';
import { type NightOptions, type NightSteps, runNight } from './run.ts';

const nowMs = Date.UTC(2026, 2, 3, 8);
const dayMs = 86_400_000;
const window = dayWindow('2026-03-02', 'America/Chicago');
let engine: Engine;
let inbox: string;

beforeAll(async () => {
  engine = await openMemory();
  await migrate(engine, 0);
}, 120_000);
afterAll(() => engine.close());
beforeEach(() => {
  inbox = mkdtempSync(join(tmpdir(), 'night-'));
});
afterEach(async () => {
  rmSync(inbox, { recursive: true });
  await engine.query('truncate input_file, reject, reading, vehicle_progress, setting, hold cascade');
});

/** A row a minute of each vehicle, for an hour from an instant on. */
function put(name: string, firstMs: number, vehicles: readonly string[]): void {
  const rows = Array.from({ length: 60 }, (_, i) => new Date(firstMs + i * 60_000).toISOString());
  const lines = rows.flatMap((time) => vehicles.map((vehicleId) => `${time},${vehicleId},50`));
  writeFileSync(join(inbox, name), `time,vehicleId,speedKph\n${lines.join('\n')}\n`);
  utimesSync(join(inbox, name), 0, nowMs / 1000 - 3600);
}

function run(steps: Partial<NightSteps> = {}, more: Partial<NightOptions> = {}): Promise<NightOutcome> {
  return runNight(engine, {
    windows: [window],
    inbox,
    files: [],
    statements: {},
    kept: { mode: 'named', driver: (id) => id },
    intake: { format: null, mapping: contractMapping, mappingId: 'contract', lateMs: 30_000 },
    retention: { keepDays: null, keepEvidenceDays: null },
    now: () => nowMs,
    steps: {
      analyse: async () => ({ vehicles: 0, added: 0, changed: 0, withdrawn: 0 }),
      digest: async () => [],
      ...steps,
    },
    ...more,
  });
}

test('takes, analyses, and tells of the day, in this order', async () => {
  put('a.csv', window.startMs, ['T-1', 'T-2']);
  const said: string[] = [];
  const steps: Partial<NightSteps> = {
    analyse: async ({ lateBeforeMs }) => {
      const [{ rows }] = (await engine.query<{ rows: number }>('select count(*) as rows from reading')) as [
        { rows: number },
      ];
      said.push(`analysis of ${rows} rows, late before ${lateBeforeMs}`);
      return { vehicles: 2, added: 0, changed: 0, withdrawn: 0 };
    },
    digest: async ({ day }) => {
      said.push(`digest of ${day}`);
      return [];
    },
  };
  const outcome = await run(steps);
  expect(outcome.files.map((file) => file.outcome)).toEqual(['taken']);
  expect(outcome.days).toMatchObject([{ heard: 2, silent: [], episodes: 0 }]);
  expect(outcome.attention).toEqual([]);
  // What the second run finds of that day came after it was told of.
  const again = await run(steps);
  expect(again.files.map((file) => file.outcome)).toEqual(['known']);
  expect(said).toEqual([
    'analysis of 120 rows, late before -Infinity',
    'digest of 2026-03-02',
    `analysis of 120 rows, late before ${window.endMs}`,
    'digest of 2026-03-02',
  ]);
});

test('nothing is late of a day that is not over', async () => {
  const late: number[] = [];
  const analyse: NightSteps['analyse'] = async ({ lateBeforeMs }) => {
    late.push(lateBeforeMs);
    return { vehicles: 0, added: 0, changed: 0, withdrawn: 0 };
  };
  for (let night = 0; night < 2; night++)
    await run({ analyse }, { windows: [dayWindow('2026-03-03', 'America/Chicago')] });
  expect(late).toEqual([Number.NEGATIVE_INFINITY, Number.NEGATIVE_INFINITY]);
});

test('one that was heard before and is silent on the day is told of, one long gone is not', async () => {
  put('a.csv', window.startMs, ['T-1']);
  put('b.csv', window.startMs - 13 * dayMs, ['T-2']);
  put('c.csv', window.startMs - 15 * dayMs, ['T-3']);
  const { days, attention } = await run();
  expect(days).toMatchObject([{ heard: 1, silent: ['T-2'] }]);
  expect(attention.map(({ code }) => code)).toEqual(['silent-trucks']);
});

test('one run at a time; a run that failed leaves no lock', async () => {
  const lock = await engine.tryLock('nightly');
  await expect(run()).rejects.toMatchObject({ status: exitStatus.locked });
  await lock!.release();
  const broken = run({ analyse: async () => Promise.reject(new Error('broken')) });
  await expect(broken).rejects.toThrow('broken');
  expect((await run()).attention.map(({ code }) => code)).toEqual(['no-readings']);
});

test('old readings go, but for what a hold keeps; what is not analysed yet stays', async () => {
  put('old.csv', nowMs - 100 * dayMs, ['T-1', 'T-2', 'T-3']);
  await placeHold(engine, { vehicleId: 'T-1', driverId: null, fromMs: -Infinity, untilMs: Infinity }, 'claim', nowMs);
  const analyse: NightSteps['analyse'] = async () => {
    for (const vehicleId of ['T-1', 'T-2'])
      await engine.transaction((transaction) => noteAnalysed(transaction, vehicleId, nowMs));
    return { vehicles: 2, added: 0, changed: 0, withdrawn: 0 };
  };
  const { pruned } = await run({ analyse }, { retention: { keepDays: 30, keepEvidenceDays: null } });
  expect(pruned).toMatchObject({ readings: 60 });
  const left = await engine.query('select distinct vehicle_id from reading order by vehicle_id');
  expect(left).toEqual([{ vehicle_id: 'T-1' }, { vehicle_id: 'T-3' }]);
});
