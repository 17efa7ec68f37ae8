import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { signalCount, signalIndex } from '../catalogue.ts';
import type { OrderCounts } from './instants.ts';
import { InstantMerge, orderRows } from './rows.ts';
import { VehicleOrder } from './vehicle.ts';

interface Row {
  t: number;
  driver?: string | null;
  speed?: number;
  gear?: number;
}

const valuesOf = (row: Row): Float64Array => {
  const values = new Float64Array(signalCount).fill(Number.NaN);
  if (row.speed !== undefined) values[signalIndex.speedKph] = row.speed;
  if (row.gear !== undefined) values[signalIndex.gear] = row.gear;
  return values;
};

const collect = () => {
  const out: string[] = [];
  const emit = (t: number, driver: string | null, values: Float64Array, offset: number) => {
    out.push(`${t} ${driver} ${[...values.subarray(offset, offset + signalCount)].join()}`);
  };
  return { out, emit };
};

const line = (t: number, driver: string | null, row: Omit<Row, 't'>) =>
  `${t} ${driver} ${[...valuesOf({ t, ...row })].join()}`;

const run = (rows: Row[], boundMs = 30_000, blockRows = 1) => {
  const counts: OrderCounts = { duplicates: 0, conflicts: 0 };
  const { out, emit } = collect();
  const order = new VehicleOrder(counts, emit, boundMs, blockRows);
  const late = rows.filter((row) => !order.push(row.t, row.driver ?? null, valuesOf(row), 0));
  order.flush();
  return { out, late, counts, order };
};

const merged = (rows: Row[]) => {
  const counts: OrderCounts = { duplicates: 0, conflicts: 0 };
  const { out, emit } = collect();
  const values = new Float64Array(rows.length * signalCount);
  for (const [i, row] of rows.entries()) values.set(valuesOf(row), i * signalCount);
  const columns = {
    length: rows.length,
    timesMs: Float64Array.from(rows, (r) => r.t),
    driverIds: rows.map((r) => r.driver ?? null),
    values,
  };
  orderRows(columns, counts, emit);
  return { out, counts };
};

/** Rows within 20 s of each other, many of them at the same instant, values from a small set. */
const rowsWithinBound = fc.array(
  fc.record({
    t: fc.integer({ min: 0, max: 20 }).map((s) => 1_700_000_000_000 + s * 1000),
    driver: fc.constantFrom(null, null, 'D-1', 'D-2'),
    speed: fc.constantFrom(undefined, 0, 5),
    gear: fc.constantFrom(undefined, -1, 1),
  }) as fc.Arbitrary<Row>,
  { maxLength: 40 },
);

describe('VehicleOrder', () => {
  it('hands rows on in increasing time, holding back only what a late row could still precede', () => {
    const { out, emit } = collect();
    const order = new VehicleOrder({ duplicates: 0, conflicts: 0 }, emit, 30_000);
    for (const s of [0, 2, 1, 31, 33]) order.push(s * 1000, null, valuesOf({ t: 0, speed: s }), 0);
    expect(out).toEqual([line(0, null, { speed: 0 }), line(1000, null, { speed: 1 }), line(2000, null, { speed: 2 })]);
    expect(order.held).toBe(2);
    order.flush();
    expect(out.length).toBe(5);
  });

  it('takes a row exactly at the bound and refuses one behind it', () => {
    const { out, late } = run([{ t: 0 }, { t: 40_000 }, { t: 10_000, speed: 1 }, { t: 9_999 }]);
    expect(late).toEqual([{ t: 9_999 }]);
    expect(out.length).toBe(3);
  });

  it('lets one row of a clock that jumped ahead hold up nothing, and hands it on last', () => {
    const rows = [0, 1, 1e9, 2, 40, 80].map((s) => ({ t: s * 1000, speed: s % 100 }));
    const { out, emit } = collect();
    const order = new VehicleOrder({ duplicates: 0, conflicts: 0 }, emit, 30_000);
    expect(rows.map((row) => order.push(row.t, null, valuesOf(row), 0))).not.toContain(false);
    expect(out.map((l) => Number.parseInt(l, 10))).toEqual([0, 1000, 2000, 40_000]);
    order.flush();
    expect(out.map((l) => Number.parseInt(l, 10)).slice(4)).toEqual([80_000, 1e12]);
  });

  it('holds a bounded number of rows, however many fall within the bound', () => {
    const { out, emit } = collect();
    const order = new VehicleOrder({ duplicates: 0, conflicts: 0 }, emit, 30_000);
    const values = valuesOf({ t: 0 });
    for (let i = 0; i < 70_000; i++) order.push(i / 100, null, values, 0);
    expect([order.held, out.length]).toEqual([65_536, 70_000 - 65_536]);
    expect(order.push(0.005, null, values, 0)).toBe(false);
  });

  it('says the same whatever the size of a block, only later', () => {
    const anyRow = fc.record({ t: fc.integer({ min: 0, max: 90_000 }), speed: fc.integer({ min: 0, max: 2 }) });
    fc.assert(
      fc.property(fc.array(anyRow, { maxLength: 60 }), fc.integer({ min: 2, max: 9 }), (rows, blockRows) => {
        const [blocks, rowByRow] = [run(rows, 10_000, blockRows), run(rows, 10_000)];
        expect([blocks.out, blocks.late, blocks.counts]).toEqual([rowByRow.out, rowByRow.late, rowByRow.counts]);
      }),
      { numRuns: 300 },
    );
    const { out, emit } = collect();
    const order = new VehicleOrder({ duplicates: 0, conflicts: 0 }, emit, 10_000, 3);
    const emitted = [0, 1, 2, 11, 12, 13].map((s) => {
      order.push(s * 1000, null, valuesOf({ t: 0 }), 0);
      return out.length;
    });
    expect(emitted).toEqual([0, 0, 0, 0, 0, 3]);
  });

  it('counts an exact duplicate once, even after another row of the instant', () => {
    const { out, counts } = run([
      { t: 0, speed: 3 },
      { t: 0, gear: 1 },
      { t: 0, speed: 3 },
      { t: 0, gear: 1 },
    ]);
    expect(out).toEqual([line(0, null, { speed: 3, gear: 1 })]);
    expect(counts).toEqual({ duplicates: 2, conflicts: 0 });
  });

  it('does not report a signal or a driver on which rows of one instant disagree, whatever a third row says', () => {
    const { out, counts } = run([
      { t: 0, speed: 3, gear: 1, driver: 'D-1' },
      { t: 0, speed: 4, driver: 'D-2' },
      { t: 0, speed: 3, gear: 1 },
    ]);
    expect(out).toEqual([line(0, null, { gear: 1 })]);
    expect(counts).toEqual({ duplicates: 0, conflicts: 2 });
  });

  it('gives the same rows and counts in any arrival order within the bound', () => {
    fc.assert(
      fc.property(
        rowsWithinBound.chain((rows) =>
          fc.tuple(fc.constant(rows), fc.shuffledSubarray(rows, { minLength: rows.length })),
        ),
        ([rows, shuffled]) => {
          const a = run(rows);
          const b = run(shuffled);
          expect(b.late).toEqual([]);
          expect(b.out).toEqual(a.out);
          expect(b.counts).toEqual(a.counts);
          expect(merged(shuffled)).toEqual({ out: a.out, counts: a.counts });
        },
      ),
    );
  });

  it('gives the same rows as sorting all of them where none is late', () => {
    const steps = fc.array(
      fc.record({
        ahead: fc.integer({ min: 0, max: 4000 }),
        behind: fc.integer({ min: 0, max: 9000 }),
        speed: fc.constantFrom(undefined, 0, 5, 80),
        gear: fc.constantFrom(undefined, -1, 1),
      }),
      { maxLength: 300 },
    );
    fc.assert(
      fc.property(steps, (list) => {
        let newest = 1_700_000_000_000;
        const rows = list.map(({ ahead, behind, speed, gear }) => {
          newest += ahead;
          return {
            t: newest - behind,
            ...(speed === undefined ? {} : { speed }),
            ...(gear === undefined ? {} : { gear }),
          };
        });
        const ordered = run(rows);
        expect(ordered.late).toEqual([]);
        expect(ordered.out).toEqual(merged(rows).out);
        const times = ordered.out.map((l) => Number(l.split(' ')[0]));
        expect(times).toEqual([...new Set(times)].sort((a, b) => a - b));
      }),
    );
  });
});

describe('InstantMerge', () => {
  it('refuses a row that goes back in time', () => {
    const merge = new InstantMerge({ duplicates: 0, conflicts: 0 }, () => {});
    merge.push(2, null, valuesOf({ t: 2 }), 0);
    expect(() => merge.push(1, null, valuesOf({ t: 1 }), 0)).toThrow(RangeError);
  });
});
