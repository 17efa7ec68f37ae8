/** A store that has readings and episodes, for the tests of what is read from it and sent. */
import type { WireEpisode } from '@gearhold/policy';
import { BatchBuilder, signalIndex } from '@gearhold/signals';
import {
  type Engine,
  keepPolicy,
  lockVehicle,
  migrate,
  openMemory,
  storeReadings,
  writeEpisodes,
} from '@gearhold/store';

const dayMs = 86_400_000;

export async function emptyStore(nowMs: number): Promise<Engine> {
  const engine = await openMemory();
  await migrate(engine, nowMs);
  return engine;
}

/** Makes a store as good as new: a database of its own for each test would take seconds. */
export async function forgetAll(engine: Engine): Promise<void> {
  await engine.query('truncate reading, vehicle_progress, episode, driver, vehicle, site, digest cascade');
}

/** One reading of a vehicle, with pressure or without any signal. */
export async function putReading(engine: Engine, vehicleId: string, timeMs: number, pressure = true): Promise<void> {
  const builder = new BatchBuilder(0, 1);
  builder.begin();
  if (pressure) builder.values[builder.offset + signalIndex.suspensionKpa] = 60;
  builder.add(vehicleId, null, timeMs);
  await storeReadings(engine, builder.take());
}

/** What an analysis found of a vehicle in all its life: replaces what was there. */
export function putEpisodes(
  engine: Engine,
  vehicleId: string,
  found: readonly WireEpisode[],
  atMs: number,
  { terminal = 'cairn', arrivedLate = false }: { terminal?: string | null; arrivedLate?: boolean } = {},
): Promise<unknown> {
  return engine.transaction(async (transaction) => {
    await lockVehicle(transaction, vehicleId);
    const policyId = await keepPolicy(transaction, '{"version":1}');
    const terminals = { siteTerminal: terminal, vehicleTerminal: null, driverTerminal: null };
    const standing = { policyId, closed: true, ...terminals, severities: {}, evidence: null, arrivedLate };
    const span = { fromMs: atMs - 400 * dayMs, untilMs: atMs + 400 * dayMs };
    return writeEpisodes(
      transaction,
      vehicleId,
      span,
      found.map((wire) => ({ ...standing, wire })),
      atMs,
    );
  });
}
