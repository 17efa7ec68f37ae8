import { mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { signalCount } from '@gearhold/signals';
import fc from 'fast-check';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { RowStore } from './row-store.ts';

interface Row {
  readonly vehicleId: string;
  readonly driverId: string | null;
  readonly timeMs: number;
  readonly values: readonly number[];
}

const anyRow = fc.record({
  vehicleId: fc.constantFrom('T-1', 'T-2', 'T-3', 'wagon "4"\n'),
  driverId: fc.constantFrom(null, 'D-1', 'D-2'),
  timeMs: fc.oneof(fc.integer({ min: 0, max: 40 }), fc.double({ min: -1e13, max: 1e13, noNaN: true })),
  values: fc.array(fc.oneof(fc.constant(Number.NaN), fc.double()), { minLength: signalCount, maxLength: signalCount }),
});

function fill(store: RowStore, rows: readonly Row[]): void {
  for (const row of rows) {
    store.add(row.vehicleId, row.driverId, row.timeMs, Float64Array.from([7, ...row.values]), 1);
  }
}

function drained(store: RowStore): { rows: Row[]; ends: string[] } {
  const rows: Row[] = [];
  const ends: string[] = [];
  store.drain({
    row: (vehicleId, driverId, timeMs, values) => {
      expect(ends).not.toContain(vehicleId);
      rows.push({ vehicleId, driverId, timeMs, values: [...values] });
    },
    vehicleEnd: (vehicleId) => ends.push(vehicleId),
  });
  return { rows, ends };
}

const key = (row: Row) => JSON.stringify([row.vehicleId, row.timeMs, row.driverId, row.values.map(String)]);

describe('the row store', () => {
  const outside = process.env.TMPDIR;
  let folder: string;
  beforeEach(() => {
    folder = mkdtempSync(join(tmpdir(), 'row-store-'));
    process.env.TMPDIR = folder;
  });
  afterEach(() => {
    if (outside === undefined) delete process.env.TMPDIR;
    else process.env.TMPDIR = outside;
    rmSync(folder, { recursive: true });
  });

  it('gives back every row bit for bit, by vehicle and time, however often it spills', () => {
    fc.assert(
      fc.property(fc.array(anyRow, { maxLength: 60 }), fc.constantFrom(24, 60, 200, 4096), (rows, blockWords) => {
        const store = new RowStore({ blockWords, cursorWords: 25 });
        fill(store, rows);
        const given = drained(store);
        expect(given.rows.map(key).sort()).toEqual(rows.map(key).sort());
        expect(given.ends).toEqual([...new Set(rows.map((row) => row.vehicleId))]);
        for (const [index, row] of given.rows.entries()) {
          const before = given.rows[index - 1];
          if (before?.vehicleId === row.vehicleId) expect(before.timeMs).toBeLessThanOrEqual(row.timeMs);
        }
      }),
      { numRuns: 300 },
    );
  });

  it('touches the disk only when a block is full, and leaves nothing there even while it works', () => {
    const store = new RowStore({ blockWords: 100 });
    const row = { vehicleId: 'T-1', driverId: null, timeMs: 1, values: Array(signalCount).fill(1) };
    fill(store, [row, row, row]);
    expect(store.runs).toBe(0);
    fill(store, [row, row, row]);
    expect(store.runs).toBeGreaterThan(0);
    expect(readdirSync(folder)).toEqual([]);
    expect(drained(store).rows).toHaveLength(6);
    expect(drained(store).rows).toHaveLength(0);
  });

  it('says which folder has no room, and how to name another', () => {
    process.env.TMPDIR = join(folder, 'missing');
    const store = new RowStore({ blockWords: 30 });
    const row = { vehicleId: 'T-1', driverId: null, timeMs: 1, values: Array(signalCount).fill(1) };
    expect(() => fill(store, [row, row, row])).toThrow(
      `the temporary folder ${join(folder, 'missing')} cannot be written: there is no such file or folder; set TMPDIR to a folder with room.`,
    );
  });
});
