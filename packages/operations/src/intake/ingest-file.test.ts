import { mkdtempSync, rmSync, utimesSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { contractMapping } from '@gearhold/signals';
import { type Engine, inputFile, migrate, openMemory, readRejects } from '@gearhold/store';
import { afterAll, afterEach, beforeAll, beforeEach, expect, test } from 'vitest';
import { type IngestFileOptions, ingestFile } from './ingest-file.ts';

let folder: string;
let engine: Engine;
beforeAll(async () => {
  engine = await openMemory();
  await migrate(engine, 0);
}, 120_000);
afterAll(() => engine.close());
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'ingest-'));
});
afterEach(async () => {
  rmSync(folder, { recursive: true });
  await engine.query('truncate input_file, reject, reading, vehicle_progress cascade');
});

const header = 'time,vehicleId,driverId,speedKph\n';
const firstMs = Date.UTC(2026, 2, 2, 6);

/** A row a second, every tenth rejected, of two vehicles. */
function rows(count: number, speed = 50): string {
  const lines: string[] = [];
  for (let i = 0; i < count; i++) {
    const time = i % 10 === 9 ? 'soon' : new Date(firstMs + i * 1000).toISOString();
    lines.push(`${time},T-${i % 2},D-7,${speed}\n`);
  }
  return lines.join('');
}

function put(name: string, content: string | Uint8Array): string {
  const path = join(folder, name);
  writeFileSync(path, content);
  return path;
}

function take(path: string, more: Partial<IngestFileOptions> = {}, on: Engine = engine) {
  const intake = { format: null, mapping: contractMapping, mappingId: 'contract', lateMs: 30_000 } as const;
  const drivers = { drivers: 'named', driver: (id: string | null) => id, retryFailed: false } as const;
  return ingestFile(on, { path, ...intake, ...drivers, now: () => firstMs, ...more });
}

async function stored(): Promise<unknown[]> {
  return engine.query('select vehicle_id, time, driver_id, speed_kph, corrections from reading order by 1, 2');
}

async function rejects(sha256: string) {
  const all = [];
  for await (const reject of readRejects(engine, sha256)) all.push(reject);
  return all;
}

test('a file is taken once, by its content, whatever its name', async () => {
  const path = put('a.csv', header + rows(20));
  const taken = await take(path);
  expect(taken).toMatchObject({ outcome: 'taken', rowsNew: 18, rowsChanged: 0, resumedAtRow: 0, problem: null });
  expect(taken.report).toMatchObject({ rowsRead: 20, rowsAccepted: 18, rowsRejected: 2 });
  const before = await stored();
  expect(before).toHaveLength(18);
  expect((await rejects(taken.sha256)).map(({ line, reason, text }) => [line, reason, text])).toEqual([
    [11, 'time', 'soon,T-1,D-7,50'],
    [21, 'time', 'soon,T-1,D-7,50'],
  ]);
  expect(await take(put('b.csv', header + rows(20)))).toMatchObject({ outcome: 'known', sha256: taken.sha256 });
  expect(await stored()).toEqual(before);
  expect(await inputFile(engine, taken.sha256)).toMatchObject({ state: 'done', name: path, rowsRead: 20, rowsNew: 18 });
});

test('a later file corrects; what it does not report stays', async () => {
  await take(put('a.csv', header + rows(4)));
  const correction = `time,vehicleId,speedKph\n${new Date(firstMs).toISOString()},T-0,48\n`;
  expect(await take(put('c.csv', correction))).toMatchObject({ rowsNew: 0, rowsChanged: 1 });
  expect((await stored())[0]).toMatchObject({ driver_id: 'D-7', speed_kph: 48, corrections: 1 });
});

test('broken off in any transaction and started again, it ends as if nothing had happened', async () => {
  // Many rejects in front of the rows, in two pieces of bytes: they are written by themselves.
  const noise = `${'x'.repeat(2000)},T-1,,1\n`.repeat(200);
  const path = put('long.csv', header + noise + rows(1000) + noise);
  const batchRows = 150;
  const whole = await take(path, { batchRows });
  const expected = {
    rows: await stored(),
    rejects: await rejects(whole.sha256),
    file: await inputFile(engine, whole.sha256),
  };
  expect(expected.rejects).toHaveLength(500);
  for (let at = 0; ; at++) {
    await engine.query('truncate input_file, reject, reading, vehicle_progress cascade');
    const broken = breaking(engine, at);
    const first = await take(path, { batchRows }, broken).catch((error: Error) => error.message);
    if (typeof first !== 'string') break;
    expect(first).toBe('broken off');
    const again = await take(path, { batchRows });
    expect(again).toMatchObject({ outcome: 'taken', problem: null });
    expect(await stored()).toEqual(expected.rows);
    expect(await rejects(whole.sha256)).toEqual(expected.rejects);
    expect(await inputFile(engine, whole.sha256)).toEqual(expected.file);
    expect(at).toBeLessThan(40);
  }
});

test('without names neither rows nor rejects hold one', async () => {
  const taken = await take(put('a.csv', header + rows(20)), { drivers: 'none', driver: () => null });
  expect(JSON.stringify([await stored(), await rejects(taken.sha256)])).not.toContain('D-7');
});

test('a file that ends early fails, keeps what it held, and is not tried again by itself', async () => {
  const whole = gzipSync(header + rows(2000), { level: 0 });
  const path = put('cut.csv.gz', whole.subarray(0, whole.length - 20_000));
  const cut = await take(path);
  expect(cut.outcome).toBe('failed');
  expect(cut.problem).toMatch(/cut\.csv\.gz/);
  expect((await stored()).length).toBeGreaterThan(100);
  expect(await take(path)).toMatchObject({ outcome: 'known', problem: cut.problem });
  expect(await take(path, { retryFailed: true })).toMatchObject({ outcome: 'failed', rowsNew: 0 });
});

test('a file that was written to while it was read fails and says so', async () => {
  const path = put('a.csv', header + rows(20));
  let touched = false;
  const taken = await take(path, {
    onBytes: () => {
      if (!touched) utimesSync(path, 1, 1);
      touched = true;
    },
  });
  expect(taken.problem).toMatch(/was written to while it was read/);
});

test('while another process takes it, it is left alone', async () => {
  const path = put('a.csv', header + rows(4));
  const { sha256 } = await take(path);
  await engine.query('truncate input_file, reject, reading, vehicle_progress cascade');
  const lock = await engine.tryLock(`file ${sha256}`);
  expect(await take(path)).toMatchObject({ outcome: 'busy' });
  await lock!.release();
  expect(await take(path)).toMatchObject({ outcome: 'taken' });
});

/** An engine that breaks off at the so-many-th transaction: before it, or right after it was committed. */
function breaking(inner: Engine, at: number): Engine {
  let transactions = 0;
  return {
    query: (sql, parameters) => inner.query(sql, parameters),
    rows: (sql, parameters) => inner.rows(sql, parameters),
    tryLock: (name) => inner.tryLock(name),
    describe: () => inner.describe(),
    close: () => inner.close(),
    transaction: async (work, options) => {
      const number = transactions++;
      if (number * 2 === at) throw new Error('broken off');
      const result = await inner.transaction(work, options);
      if (number * 2 + 1 === at) throw new Error('broken off');
      return result;
    },
  };
}
