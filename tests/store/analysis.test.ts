/**
 * Readings into the store and out again as episodes: however they come, in whatever order and after however many analyses,
 * what stands at the end is what one analysis of all of them finds. Ids are kept, nothing is deleted.
 */
import { engineVersion } from '@gearhold/episodes';
import { analyseDirty } from '@gearhold/operations/analysis';
import { builtInPolicy, type WireEpisode } from '@gearhold/policy';
import { BatchBuilder, signalIndex } from '@gearhold/signals';
import {
  type Engine,
  episodeHistory,
  episodesOfVehicle,
  migrate,
  openMemory,
  policyIdOf,
  readEvidence,
  type StoredEpisode,
  statePolicy,
  storeReadings,
  storeSites,
  storeVehicles,
  stretchesFrom,
} from '@gearhold/store';
import fc from 'fast-check';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { analysed, effort, engineFor, type Row, sites, type TruckDay, truckDay } from '../metamorphic/truck-day.ts';

const nowMs = Date.UTC(2026, 2, 5, 4);
const zone = 'America/Chicago';
/** Short ones, so that a day has many. */
const stretchMs = 15 * 60_000;
/** Of a truck's day, so that there are some couplings and many stretches. */
const hours = 3;
const everything = { fromMs: Number.NEGATIVE_INFINITY, untilMs: Number.POSITIVE_INFINITY };

let store: Engine;
beforeAll(async () => {
  store = await openMemory();
  await migrate(store, nowMs);
  await store.transaction((transaction) => storeSites(transaction, sites));
}, 120_000);
afterAll(() => store.close());

async function take(vehicleId: string, rows: readonly Row[]): Promise<void> {
  const builder = new BatchBuilder(0, Math.max(1, rows.length));
  for (const { timeMs, driverId, values } of rows) {
    builder.begin();
    builder.values.set(values, builder.offset);
    builder.add(vehicleId, driverId, timeMs);
  }
  await storeReadings(store, builder.take());
}

const analyse = (options: { untilMs?: number; lateBeforeMs?: number } = {}) =>
  analyseDirty(store, { zone, nowMs, stretchMs, ...options });

async function state(day: TruckDay, vehicleId: string): Promise<void> {
  const entries = day.vehicles.map((vehicle) => ({ ...vehicle, vehicleId }));
  await store.transaction((transaction) => storeVehicles(transaction, entries));
}

const stored = (vehicleId: string) => episodesOfVehicle(store, vehicleId, everything);
const active = async (vehicleId: string) => (await stored(vehicleId)).filter((episode) => episode.state === 'active');

/** What an episode says, but for whose it is and the id that it may have from an earlier look. */
function said(wire: WireEpisode): unknown {
  return { ...wire, vehicleId: null, episodeId: null };
}

async function learned(vehicleId: string): Promise<unknown> {
  const stretches = await stretchesFrom(store, vehicleId);
  return stretches.map((stretch) => ({ ...stretch, state: stretch.state?.replaceAll(`"${vehicleId}"`, '"it"') }));
}

let vehicleNumber = 0;
const newVehicle = () => `V-${String(++vehicleNumber)}`;

/** A vehicle whose rows came in at once. */
async function takenAtOnce(day: TruckDay): Promise<string> {
  const vehicleId = newVehicle();
  await state(day, vehicleId);
  await take(vehicleId, day.rows);
  await analyse();
  return vehicleId;
}

/** Rows in parts that come one after the other: blocks of time in any order, some rows of each held back to another part. */
function parts(rows: readonly Row[], order: readonly number[], heldBack: number): Row[][] {
  const into: Row[][] = order.map(() => []);
  rows.forEach((row, i) => {
    const block = Math.floor((i / rows.length) * order.length);
    const late = (Math.imul(i + 1, 0x9e3779b1) >>> 0) / 2 ** 32 < heldBack;
    into[late ? (order[block]! + 1) % order.length : order[block]!]!.push(row);
  });
  return into;
}

const sets = ['1hz-noisy', 'key-off-gaps', 'change-only', 'attempts-shunts'];
const arrivals = fc.record({
  set: fc.constantFrom(...sets),
  order: fc.shuffledSubarray([0, 1, 2, 3, 4], { minLength: 5 }),
  heldBack: fc.constantFrom(0, 0.02, 0.5),
});

describe('what is stored of a vehicle', () => {
  it(
    'is the same in whatever order and parts its readings came, with an analysis after each',
    async () => {
      await fc.assert(
        fc.asyncProperty(arrivals, async ({ set, order, heldBack }) => {
          const day = truckDay(set, 0, 'tuning-metamorphic-1', hours);
          const atOnce = await takenAtOnce(day);
          const vehicleId = newVehicle();
          await state(day, vehicleId);
          for (const part of parts(day.rows, order, heldBack)) {
            await take(vehicleId, part);
            await analyse();
          }
          const [one, other] = [await active(atOnce), await active(vehicleId)];
          expect(one.length).toBeGreaterThan(3);
          expect(other.map(({ wire }) => said(wire))).toEqual(one.map(({ wire }) => said(wire)));
          expect(other.map(({ closed, terminal }) => ({ closed, terminal }))).toEqual(
            one.map(({ closed, terminal }) => ({ closed, terminal })),
          );
          expect(await learned(vehicleId)).toEqual(await learned(atOnce));
        }),
        { numRuns: 4 * effort, seed: 20_260_302 },
      );
    },
    300_000 * effort,
  );

  it('is what the analysis of files finds', async () => {
    const day = truckDay('1hz-noisy', 0, 'tuning-metamorphic-1', hours);
    const vehicleId = await takenAtOnce(day);
    const entries = day.vehicles.map((vehicle) => ({ ...vehicle, vehicleId }));
    const found = analysed(vehicleId, day.rows, engineFor(entries));
    expect((await active(vehicleId)).map(({ wire }) => wire)).toEqual(found);
  });

  it('does not change where the same readings come again, or an analysis is done again', async () => {
    const day = truckDay('1hz-noisy', 0, 'tuning-metamorphic-1', hours);
    const vehicleId = await takenAtOnce(day);
    const before = await stored(vehicleId);
    await take(vehicleId, day.rows);
    expect(await analyse()).toMatchObject({ vehicles: 0, rows: 0 });
    await store.query(`update vehicle_progress set dirty_from = first_reading_time, dirty_until = 'infinity'
      where vehicle_id = '${vehicleId}'`);
    const again = await analyse();
    expect(again).toMatchObject({ vehicles: 1, rows: day.rows.length });
    expect(again.episodes).toEqual({ added: 0, changed: 0, withdrawn: 0, returned: 0, unchanged: before.length });
    expect(await stored(vehicleId)).toEqual(before);
  });
});

describe('a second look', () => {
  it('begins at the stretch that changed, and ends where it comes to what is known', async () => {
    const day = truckDay('1hz-noisy', 0, 'tuning-metamorphic-1', hours);
    const vehicleId = await takenAtOnce(day);
    const [before, knew] = [await stored(vehicleId), await learned(vehicleId)];
    const stretches = await stretchesFrom(store, vehicleId);
    const middle = stretches[stretches.length >> 1]!;
    const index = day.rows.findIndex(({ timeMs }) => timeMs > middle.startMs + 60_000);
    const values = day.rows[index]!.values.slice();
    values[signalIndex.longitude]! += 0.000_01;
    await take(vehicleId, [{ ...day.rows[index]!, values }]);
    const { rows, stretches: gone } = await analyse();
    expect(gone).toBe(1);
    expect(rows).toBeLessThan(day.rows.length / 4);
    expect(await stored(vehicleId)).toEqual(before);
    expect(await learned(vehicleId)).toEqual(knew);
  });

  it('learns anew from the first row where the states are those of another engine', async () => {
    const day = truckDay('1hz-noisy', 0, 'tuning-metamorphic-1', hours);
    const vehicleId = await takenAtOnce(day);
    const [before, knew] = [await stored(vehicleId), await learned(vehicleId)];
    await store.query(`update stretch set engine = '0', state =
      replace(state::text, '"engineVersion":${engineVersion}', '"engineVersion":0')::json
      where vehicle_id = '${vehicleId}' and state is not null`);
    await store.query(`update vehicle_progress set dirty_from = last_reading_time, dirty_until = last_reading_time
      where vehicle_id = '${vehicleId}'`);
    expect(await analyse()).toMatchObject({ rows: day.rows.length });
    expect(await stored(vehicleId)).toEqual(before);
    expect(await learned(vehicleId)).toEqual(knew);
  });
});

/** The first coupling and the uncoupling after it. */
function firstPair(episodes: readonly StoredEpisode[]): [StoredEpisode, StoredEpisode] {
  const coupling = episodes.findIndex(({ kind }) => kind === 'coupling');
  const uncoupling = episodes.findIndex(({ kind }, i) => i > coupling && kind === 'uncoupling');
  return [episodes[coupling]!, episodes[uncoupling]!];
}

describe('an episode', () => {
  it('keeps its id where later readings close it', async () => {
    const day = truckDay('1hz-noisy', 0, 'tuning-metamorphic-1', hours);
    const [coupling] = firstPair(await active(await takenAtOnce(day)));
    const vehicleId = newVehicle();
    await state(day, vehicleId);
    const untilMs = Date.parse(coupling.wire.milestones.departureTime as string) - 30_000;
    await take(
      vehicleId,
      day.rows.filter(({ timeMs }) => timeMs < untilMs),
    );
    await analyse();
    const open = (await active(vehicleId)).at(-1)!;
    expect(open).toMatchObject({ kind: 'coupling', closed: false, revision: 1 });
    await take(vehicleId, day.rows);
    await analyse();
    const closed = (await stored(vehicleId)).find(({ episodeId }) => episodeId === open.episodeId)!;
    expect(closed).toMatchObject({ closed: true, revision: 2, state: 'active' });
    expect(said(closed.wire)).toEqual(said(coupling.wire));
    expect(await episodeHistory(store, open.episodeId)).toMatchObject([{ revision: 1, wire: open.wire }]);
  });

  it('is withdrawn where corrected readings no longer show it, and comes back under its id', async () => {
    const day = truckDay('1hz-noisy', 0, 'tuning-metamorphic-1', hours);
    const vehicleId = await takenAtOnce(day);
    const before = await active(vehicleId);
    const pair = firstPair(before);
    const [fromMs, untilMs] = [pair[0].startMs - 60_000, pair[1].endMs + 60_000];
    const between = day.rows.filter(({ timeMs }) => timeMs >= fromMs && timeMs <= untilMs);
    const level = pair[0].wire.pressureBeforeKpa!;
    const corrected = between.map((row) => {
      const values = row.values.slice();
      if (!Number.isNaN(values[signalIndex.suspensionKpa]!)) values[signalIndex.suspensionKpa] = level;
      return { ...row, values };
    });
    await take(vehicleId, corrected);
    expect((await analyse()).episodes.withdrawn).toBeGreaterThanOrEqual(2);
    const ids = pair.map(({ episodeId }) => episodeId);
    const now = await stored(vehicleId);
    for (const id of ids) expect(now.find(({ episodeId }) => episodeId === id)?.state).toBe('withdrawn');
    await take(vehicleId, between);
    await analyse();
    const after = await active(vehicleId);
    expect(after.map(({ wire }) => said(wire))).toEqual(before.map(({ wire }) => said(wire)));
    expect(after.map(({ episodeId }) => episodeId)).toEqual(before.map(({ episodeId }) => episodeId));
    for (const id of ids) expect((await episodeHistory(store, id)).length).toBe(2);
  });

  it('keeps the readings around it, of all signals, with who was signed in', async () => {
    const day = truckDay('all-signals', 0, 'tuning-metamorphic-1', 3);
    const vehicleId = await takenAtOnce(day);
    for (const { episodeId, startMs, endMs } of await active(vehicleId)) {
      const evidence = (await readEvidence(store, episodeId))!;
      const around = day.rows.filter(({ timeMs }) => timeMs >= startMs - 240_000 && timeMs < endMs + 120_000);
      expect(Array.from(evidence.timesMs)).toEqual(around.map(({ timeMs }) => timeMs));
      expect(evidence.driverIds).toEqual(around.map(({ driverId }) => driverId));
      // JSON knows no negative zero.
      expect(Array.from(evidence.values)).toEqual(around.flatMap(({ values }) => Array.from(values, (v) => v + 0)));
      expect(evidence.columns[0]).toEqual({ name: 'speedKph', unit: 'km/h' });
    }
  });

  it('of a day whose digest went out arrived late', async () => {
    const day = truckDay('1hz-noisy', 1, 'tuning-metamorphic-1', hours);
    const vehicleId = newVehicle();
    await take(vehicleId, day.rows);
    const lateBeforeMs = day.rows[day.rows.length >> 1]!.timeMs;
    await analyse({ lateBeforeMs });
    const anomalies = await store.query<{ late: boolean; transferMs: number }>(
      `select a.arrived_late as late, e.load_transfer_time as "transferMs"
      from anomaly a join episode e using (episode_id) where e.vehicle_id = '${vehicleId}'`,
    );
    expect(anomalies.length).toBeGreaterThan(0);
    for (const { late, transferMs } of anomalies) expect(late).toBe(transferMs < lateBeforeMs);
  });

  it('is judged by the policy in force at its load transfer', async () => {
    const day = truckDay('1hz-noisy', 2, 'tuning-metamorphic-1', hours);
    const vehicleId = newVehicle();
    const fromMs = day.rows[day.rows.length >> 1]!.timeMs;
    const document = JSON.stringify({ version: 1, checks: { 'gear-hold-pause': { minSeconds: 45 } } });
    await store.transaction((transaction) => statePolicy(transaction, document, fromMs, nowMs));
    await take(vehicleId, day.rows);
    await analyse();
    await store.query('delete from policy_validity');
    const minSeconds = ({ wire }: StoredEpisode) =>
      wire.checks.find(({ check }) => check === 'gear-hold-pause')?.limit.minSeconds;
    const builtIn = builtInPolicy.checks.find(({ check }) => check === 'gear-hold-pause')!.limits.minSeconds;
    const uncouplings = (await active(vehicleId)).filter(({ kind }) => kind === 'uncoupling');
    expect(new Set(uncouplings.map(minSeconds))).toEqual(new Set([builtIn, 45]));
    for (const episode of uncouplings) {
      const later = episode.loadTransferMs >= fromMs;
      expect(minSeconds(episode)).toBe(later ? 45 : builtIn);
      expect(episode.policyId === policyIdOf(document)).toBe(later);
    }
  });
});

it('leaves readings after an instant for later, and what was found of them alone', async () => {
  const day = truckDay('1hz-noisy', 0, 'tuning-metamorphic-1', hours);
  const vehicleId = newVehicle();
  await state(day, vehicleId);
  await take(vehicleId, day.rows);
  const untilMs = day.rows[day.rows.length >> 1]!.timeMs;
  const { rows } = await analyse({ untilMs });
  expect(rows).toBe(day.rows.filter(({ timeMs }) => timeMs < untilMs).length);
  expect(await analyse({ untilMs })).toMatchObject({ rows: 0 });
  await analyse();
  const atOnce = await takenAtOnce(day);
  const found = await active(vehicleId);
  expect(found.map(({ wire }) => said(wire))).toEqual((await active(atOnce)).map(({ wire }) => said(wire)));
  await take(vehicleId, [{ ...day.rows[0]!, timeMs: day.rows[0]!.timeMs - 1000 }]);
  await analyse({ untilMs });
  const later = (episodes: readonly StoredEpisode[]) => episodes.filter(({ startMs }) => startMs > untilMs);
  expect(later(await active(vehicleId))).toEqual(later(found));
});
