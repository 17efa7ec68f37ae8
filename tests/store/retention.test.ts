/** What goes when its time is over, what a hold keeps, and readings that come late into what was compressed long ago. */
import { BatchBuilder, type ReadingBatch } from '@gearhold/signals';
import {
  activeHolds,
  compressReadings,
  type Engine,
  lockVehicle,
  migrate,
  noteAnalysed,
  placeHold,
  pruneReadings,
  readReadings,
  releaseHold,
  replaceStretches,
  storeReadings,
  vehiclesSeen,
} from '@gearhold/store';
import { describe, expect, it } from 'vitest';
import { engines, nowMs, onEveryEngine } from './engines.ts';

const hourMs = 3_600_000;
const dayMs = 24 * hourMs;
const startMs = Date.UTC(2026, 0, 1);
const everything = { fromMs: Number.NEGATIVE_INFINITY, untilMs: Number.POSITIVE_INFINITY };

/** A reading an hour. */
function hours(
  vehicleId: string,
  count: number,
  { speed = 0, offsetMs = 0, driver = (_hour: number): string | null => null } = {},
): ReadingBatch {
  const builder = new BatchBuilder(0, count);
  for (let hour = 0; hour < count; hour++) {
    builder.begin();
    builder.values[builder.offset] = speed + (hour % 50);
    builder.add(vehicleId, driver(hour), startMs + hour * hourMs + offsetMs);
  }
  return builder.take();
}

async function hoursLeft(engine: Engine, vehicleId: string): Promise<number[]> {
  const left: number[] = [];
  for await (const page of readReadings(engine, { vehicleId })) {
    for (const timeMs of page.timesMs) left.push((timeMs - startMs) / hourMs);
  }
  return left;
}

/** As if the analysis had gone through it, with a stretch from each of the given hours. */
async function analysed(
  engine: Engine,
  vehicleId: string,
  untilHour: number,
  stretches: readonly number[],
): Promise<void> {
  await engine.transaction(async (transaction) => {
    await lockVehicle(transaction, vehicleId);
    const starts = stretches.map((hour) => startMs + hour * hourMs);
    const stored = starts.map((start, i) => ({
      startMs: start,
      endMs: starts[i + 1] ?? null,
      engine: 'test',
      state: '{}',
    }));
    await replaceStretches(transaction, vehicleId, everything, stored);
    await noteAnalysed(transaction, vehicleId, startMs + untilHour * hourMs);
  });
}

const range = (from: number, until: number) => Array.from({ length: until - from }, (_, i) => from + i);

onEveryEngine('retention', (store) => {
  it('removes readings up to the beginning of a stretch, so that the rest can be analysed again', async () => {
    await storeReadings(store(), hours('cut', 100));
    await analysed(store(), 'cut', 99, [0, 20, 40, 60, 80]);
    await pruneReadings(store(), startMs + 50 * hourMs);
    expect(await hoursLeft(store(), 'cut')).toEqual(range(40, 100));
    const [progress] = (await vehiclesSeen(store())).filter(({ vehicleId }) => vehicleId === 'cut');
    expect(progress).toMatchObject({ prunedBeforeMs: startMs + 40 * hourMs, dirtyFromMs: null });
    // What comes late for what is gone is stored, but makes nothing due that could not be analysed.
    await storeReadings(store(), hours('cut', 1, { offsetMs: 1 }));
    const [late] = (await vehiclesSeen(store())).filter(({ vehicleId }) => vehicleId === 'cut');
    expect(late?.dirtyFromMs).toBe(startMs + 40 * hourMs);
  });

  it('leaves what is not analysed yet', async () => {
    await storeReadings(store(), hours('due', 10));
    await pruneReadings(store(), startMs + 50 * hourMs);
    expect(await hoursLeft(store(), 'due')).toEqual(range(0, 10));
    await analysed(store(), 'due', 9, [0]);
    await pruneReadings(store(), startMs + 50 * hourMs);
    expect(await hoursLeft(store(), 'due')).toEqual([]);
  });

  it('keeps what a hold names, until it is released', async () => {
    await storeReadings(store(), hours('held', 100));
    await storeReadings(store(), hours('free', 100));
    for (const vehicleId of ['held', 'free']) await analysed(store(), vehicleId, 99, [0, 90]);
    const fromMs = startMs + 10 * hourMs;
    const scope = { vehicleId: 'held', driverId: null, fromMs, untilMs: fromMs + 5 * hourMs };
    const holdId = await placeHold(store(), scope, 'a lawyer asks', nowMs);
    expect(await activeHolds(store())).toEqual([
      { holdId, ...scope, reason: 'a lawyer asks', placedMs: nowMs, releasedMs: null },
    ]);
    await pruneReadings(store(), startMs + 95 * hourMs);
    expect(await hoursLeft(store(), 'held')).toEqual([...range(10, 15), ...range(90, 100)]);
    expect(await hoursLeft(store(), 'free')).toEqual(range(90, 100));
    expect(await releaseHold(store(), holdId, nowMs + 1)).toBe(true);
    expect(await releaseHold(store(), holdId, nowMs + 2)).toBe(false);
    await pruneReadings(store(), startMs + 95 * hourMs);
    expect(await hoursLeft(store(), 'held')).toEqual(range(90, 100));
  });

  it("keeps a held driver's readings with a day around each that names him", async () => {
    const driver = (hour: number) => (hour === 100 ? 'D-9' : hour % 60 === 0 ? 'D-1' : null);
    await storeReadings(store(), hours('driven', 240, { driver }));
    await analysed(store(), 'driven', 239, [0, 230]);
    const scope = {
      vehicleId: null,
      driverId: 'D-9',
      fromMs: Number.NEGATIVE_INFINITY,
      untilMs: Number.POSITIVE_INFINITY,
    };
    const holdId = await placeHold(store(), scope, 'a lawyer asks', nowMs);
    await pruneReadings(store(), startMs + 235 * hourMs);
    // The day of hour 100 is from 96 to 120.
    expect(await hoursLeft(store(), 'driven')).toEqual([...range(72, 144), ...range(230, 240)]);
    await releaseHold(store(), holdId, nowMs);
  });

  it('refuses a hold that names nothing', async () => {
    const nothing = { vehicleId: null, driverId: null, ...everything };
    await expect(placeHold(store(), nothing, 'all', nowMs)).rejects.toThrow('hold names what it keeps');
  });
});

describe.each(engines)('compression on $name', ({ open }) => {
  it('changes no answer: late rows, corrections and pruning go into compressed readings as into any', async () => {
    const engine = await open();
    await migrate(engine, nowMs);
    const { timescale } = await engine.describe();
    await storeReadings(engine, hours('old', 24 * 30));
    const chunks = await compressReadings(engine, startMs + 20 * dayMs);
    if (timescale === null) expect(chunks).toEqual({ compressed: 0, dropped: 0 });
    else expect(chunks.compressed).toBeGreaterThan(1);
    expect(await compressReadings(engine, startMs + 20 * dayMs)).toEqual({ compressed: 0, dropped: 0 });
    expect(await storeReadings(engine, hours('old', 24 * 30))).toMatchObject({ rowsNew: 0, rowsChanged: 0 });
    expect(await storeReadings(engine, hours('old', 10, { offsetMs: 60_000 }))).toMatchObject({ rowsNew: 10 });
    expect(await storeReadings(engine, hours('old', 10, { speed: 1 }))).toMatchObject({ rowsNew: 0, rowsChanged: 10 });
    expect(await hoursLeft(engine, 'old')).toEqual([
      ...range(0, 10).flatMap((hour) => [hour, hour + 1 / 60]),
      ...range(10, 24 * 30),
    ]);
    // Rows that met compressed ones opened their chunks, whether they changed anything or not.
    if (timescale !== null)
      expect((await compressReadings(engine, startMs + 20 * dayMs)).compressed).toBeGreaterThan(0);
    await analysed(engine, 'old', 24 * 30, [0, 24 * 15]);
    await pruneReadings(engine, startMs + 16 * dayMs);
    expect(await hoursLeft(engine, 'old')).toEqual(range(24 * 15, 24 * 30));
    if (timescale !== null) expect((await compressReadings(engine, startMs + 20 * dayMs)).dropped).toBeGreaterThan(0);
    expect(await hoursLeft(engine, 'old')).toEqual(range(24 * 15, 24 * 30));
    await engine.close();
  });
});
