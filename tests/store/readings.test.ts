/** Readings in and out of every engine: the same again changes nothing, corrections win signal by signal. */
import { BatchBuilder, type ReadingBatch, type SignalName, signalIndex, signalNames } from '@gearhold/signals';
import { dirtyVehicles, type Engine, lockVehicle, noteAnalysed, readReadings, storeReadings } from '@gearhold/store';
import { describe, expect, it } from 'vitest';
import { signalColumns } from '../../packages/store/src/readings/columns.ts';
import { onEveryEngine } from './engines.ts';

const startMs = Date.UTC(2026, 2, 2, 6);

interface Row extends Partial<Record<SignalName, number>> {
  readonly vehicleId: string;
  readonly timeMs: number;
  readonly driverId?: string;
}

function batch(rows: readonly Row[]): ReadingBatch {
  const builder = new BatchBuilder(0, Math.max(1, rows.length));
  for (const { vehicleId, timeMs, driverId, ...signals } of rows) {
    builder.begin();
    for (const [name, value] of Object.entries(signals))
      builder.values[builder.offset + signalIndex[name as SignalName]] = value;
    builder.add(vehicleId, driverId ?? null, timeMs);
  }
  return builder.take();
}

async function rowsOf(engine: Engine, vehicleId: string, pageRows?: number): Promise<Row[]> {
  const rows: Row[] = [];
  for await (const page of readReadings(engine, { vehicleId }, pageRows)) {
    for (let r = 0; r < page.length; r++) {
      const row: Record<string, unknown> = { vehicleId, timeMs: page.timesMs[r]! };
      if (page.driverIds[r] !== null) row.driverId = page.driverIds[r];
      for (const [s, name] of signalNames.entries()) {
        const value = page.values[r * signalNames.length + s]!;
        if (!Number.isNaN(value)) row[name] = value;
      }
      rows.push(row as unknown as Row);
    }
  }
  return rows;
}

describe('the columns of a reading', () => {
  it('are those of the signal catalogue, in its order', () => {
    expect(signalColumns.map(({ signal }) => signal)).toEqual(signalNames);
  });
});

onEveryEngine('readings', (store) => {
  it('come back as they went in, to the last bit and the microsecond', async () => {
    const rows: Row[] = [
      { vehicleId: 'bits', timeMs: startMs - 0.25, speedKph: 0.1 + 0.2, gear: -1, latitude: 41.12345678901235 },
      {
        vehicleId: 'bits',
        timeMs: startMs,
        driverId: 'D-31 ü"\\',
        suspensionKpa: 6425.5,
        parkingBrake: 1,
        torquePct: -125,
      },
      { vehicleId: 'bits', timeMs: startMs + 0.001 },
    ];
    await storeReadings(store(), batch(rows));
    expect(await rowsOf(store(), 'bits')).toEqual(rows);
  });

  it('of the same file again change nothing', async () => {
    const rows = batch(Array.from({ length: 50 }, (_, i) => ({ vehicleId: 'same', timeMs: startMs + i, speedKph: i })));
    expect(await storeReadings(store(), rows)).toMatchObject({ rowsNew: 50, rowsChanged: 0, rowsSame: 0 });
    expect(await storeReadings(store(), rows)).toEqual({ rowsNew: 0, rowsChanged: 0, rowsSame: 50, vehicles: [] });
  });

  it('are corrected signal by signal, and what a correction does not report stays', async () => {
    await storeReadings(
      store(),
      batch([{ vehicleId: 'mend', timeMs: startMs, speedKph: 10, gear: 1, driverId: 'D-1' }]),
    );
    const corrected = await storeReadings(
      store(),
      batch([{ vehicleId: 'mend', timeMs: startMs, speedKph: 12, ignition: 1 }]),
    );
    expect(corrected).toMatchObject({ rowsNew: 0, rowsChanged: 1 });
    expect(await rowsOf(store(), 'mend')).toEqual([
      { vehicleId: 'mend', timeMs: startMs, driverId: 'D-1', speedKph: 12, gear: 1, ignition: 1 },
    ]);
  });

  it('of one instant that come twice in a batch are taken one after the other', async () => {
    const twice = batch([
      { vehicleId: 'twice', timeMs: startMs, speedKph: 10 },
      { vehicleId: 'other', timeMs: startMs, speedKph: 11 },
      { vehicleId: 'twice', timeMs: startMs, gear: 2 },
    ]);
    expect(await storeReadings(store(), twice)).toMatchObject({ rowsNew: 2, rowsChanged: 1, rowsSame: 0 });
    expect(await rowsOf(store(), 'twice')).toEqual([{ vehicleId: 'twice', timeMs: startMs, speedKph: 10, gear: 2 }]);
  });

  it('make their vehicle due from the earliest instant that is new or changed', async () => {
    const at = (minutes: number, speedKph: number): Row => ({
      vehicleId: 'due',
      timeMs: startMs + minutes * 60_000,
      speedKph,
    });
    const due = async () => (await dirtyVehicles(store())).find(({ vehicleId }) => vehicleId === 'due')?.dirtyFromMs;
    await storeReadings(store(), batch([at(10, 1), at(20, 2)]));
    expect(await due()).toBe(startMs + 600_000);
    await store().transaction(async (transaction) => {
      await lockVehicle(transaction, 'due');
      await noteAnalysed(transaction, 'due', startMs + 1_200_000);
    });
    expect(await due()).toBeUndefined();
    await storeReadings(store(), batch([at(10, 1), at(20, 2)]));
    expect(await due()).toBeUndefined();
    const late = await storeReadings(store(), batch([at(5, 9), at(10, 1), at(20, 3)]));
    expect(late.vehicles).toEqual([{ vehicleId: 'due', earliestMs: startMs + 300_000, rowsNew: 1, rowsChanged: 1 }]);
    expect(await due()).toBe(startMs + 300_000);
  });

  it('are read in pages of any size without a row lost or doubled', async () => {
    const rows = Array.from({ length: 23 }, (_, i) => ({
      vehicleId: 'pages',
      timeMs: startMs + i * 0.001,
      engineRpm: i,
    }));
    await storeReadings(store(), batch(rows));
    for (const size of [1, 2, 23, 24]) expect(await rowsOf(store(), 'pages', size)).toEqual(rows);
  });

  it('that cannot be are refused as a whole, in a sentence without their values', async () => {
    const bad = batch([
      { vehicleId: 'refused', timeMs: startMs, speedKph: 20 },
      { vehicleId: 'refused', timeMs: startMs + 1, speedKph: 987.654 },
    ]);
    const refused = storeReadings(store(), bad);
    await expect(refused).rejects.toMatchObject({ name: 'StoreError', code: 'refused-row' });
    await expect(refused).rejects.toThrow(/^(?!.*987)the database refused a row .*reading is within its ranges$/);
    expect(await rowsOf(store(), 'refused')).toEqual([]);
  });
});
