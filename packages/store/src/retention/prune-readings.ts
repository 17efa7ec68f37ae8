/**
 * Removes raw readings that retention has had its time with, but for what a hold keeps. A vehicle's readings go up to the
 * beginning of a stretch, whose learned state is stored, so that what is left can be analysed again; what is not analysed yet
 * stays. From then on nothing before that instant is analysed again: episodes keep their evidence instead.
 */

import { lockVehicle, type VehicleProgress, vehiclesSeen } from '../analysis/progress.ts';
import type { Engine, Transaction } from '../engine/engine.ts';
import { instant } from '../engine/values.ts';
import { activeHolds, type Hold } from './holds.ts';

const dayMs = 86_400_000;

/** How much longer than asked readings may stay so that they end at a stretch; beyond it they are cut where they are. */
const slackMs = 7 * dayMs;

/** How much around a row that names a held driver is kept: who drove is known only from such rows. */
const aroundDriverMs = dayMs;

export interface Pruned {
  readonly vehicles: number;
  readonly rows: number;
}

/** Prunes readings of all vehicles, each in a transaction of its own. Doing it twice is doing it once. */
export async function pruneReadings(engine: Engine, beforeMs: number): Promise<Pruned> {
  let vehicles = 0;
  let rows = 0;
  for (const { vehicleId, firstReadingMs } of await vehiclesSeen(engine)) {
    if (firstReadingMs >= beforeMs) continue;
    const pruned = await engine.transaction((transaction) => pruneVehicle(transaction, vehicleId, beforeMs), {
      repeatable: true,
    });
    if (pruned > 0) vehicles += 1;
    rows += pruned;
  }
  return { vehicles, rows };
}

async function pruneVehicle(transaction: Transaction, vehicleId: string, beforeMs: number): Promise<number> {
  const progress = await lockVehicle(transaction, vehicleId);
  if (progress === null) return 0;
  const cutMs = await cutOf(transaction, progress, beforeMs);
  if (cutMs === null) return 0;
  const spans = await heldSpans(transaction, vehicleId, cutMs, await activeHolds(transaction));
  const [pruned] = await transaction.query<{ rows: number }>(
    `with gone as (
      delete from reading r where r.vehicle_id = $1 and r.time < $2 and not exists (
        select from unnest($3::timestamptz[], $4::timestamptz[]) as held (from_time, until_time)
        where r.time >= held.from_time and r.time < held.until_time)
      returning 1
    )
    select count(*) as rows from gone`,
    [
      vehicleId,
      instant(cutMs),
      spans.map(({ fromMs }) => instant(fromMs)),
      spans.map(({ untilMs }) => instant(untilMs)),
    ],
  );
  await transaction.query(
    'update vehicle_progress set pruned_before = greatest(pruned_before, $2) where vehicle_id = $1',
    [vehicleId, instant(cutMs)],
  );
  return pruned!.rows;
}

/** Where a vehicle's readings may be cut, or null where nothing may go. */
async function cutOf(transaction: Transaction, progress: VehicleProgress, beforeMs: number): Promise<number | null> {
  if (progress.analysedUntilMs === null) return null;
  const latestMs = Math.min(beforeMs, progress.dirtyFromMs ?? beforeMs);
  const [stretch] = await transaction.query<{ startMs: number }>(
    `select start_time as "startMs" from stretch where vehicle_id = $1 and start_time <= $2
    order by start_time desc limit 1`,
    [progress.vehicleId, instant(latestMs)],
  );
  const isOver = progress.dirtyFromMs === null && progress.lastReadingMs < beforeMs;
  if (isOver) return beforeMs;
  if (stretch !== undefined && stretch.startMs >= latestMs - slackMs) return stretch.startMs;
  return progress.dirtyFromMs === null ? beforeMs : null;
}

interface Span {
  readonly fromMs: number;
  readonly untilMs: number;
}

/** What holds keep of a vehicle's readings before an instant. */
async function heldSpans(
  transaction: Transaction,
  vehicleId: string,
  cutMs: number,
  holds: readonly Hold[],
): Promise<Span[]> {
  const spans: Span[] = [];
  for (const hold of holds) {
    if (hold.vehicleId !== null && hold.vehicleId !== vehicleId) continue;
    if (hold.fromMs >= cutMs) continue;
    if (hold.driverId === null) {
      spans.push(hold);
      continue;
    }
    const days = await transaction.query<{ dayMs: number }>(
      `select distinct date_trunc('day', time) as "dayMs" from reading
      where vehicle_id = $1 and time >= $2 and time < $3 and driver_id = $4
      union
      select date_trunc('day', load_transfer_time) from episode
      where vehicle_id = $1 and load_transfer_time >= $2 and load_transfer_time < $3 and driver_id = $4`,
      [vehicleId, instant(hold.fromMs), instant(Math.min(hold.untilMs, cutMs)), hold.driverId],
    );
    for (const day of days) {
      const fromMs = Math.max(hold.fromMs, day.dayMs - aroundDriverMs);
      spans.push({ fromMs, untilMs: Math.min(hold.untilMs, day.dayMs + dayMs + aroundDriverMs) });
    }
  }
  return spans;
}
