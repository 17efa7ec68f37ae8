/**
 * What is known of a truck by now: the state at the beginning of its present stretch, and the rows since. The shares of the signals
 * are of those rows.
 */
import { StretchTracker } from '@gearhold/episodes';
import { builtInPolicy, parsePolicy } from '@gearhold/policy';
import type { TruckLevels } from '@gearhold/schemas';
import { signalCount } from '@gearhold/signals';
import { policyValidities, readReadings, readSites, readVehicles, type Statements, stretchAt } from '@gearhold/store';
import { cutOf } from '../analysis/cut.ts';
import { ReportTally } from './report-tally.ts';
import { truckLevels } from './truck-levels.ts';

/** Null where no reading of the truck is stored (any more). */
export async function learnedOf(store: Statements, vehicleId: string, nowMs: number): Promise<TruckLevels | null> {
  const stretch = await stretchAt(store, vehicleId, Number.POSITIVE_INFINITY);
  const cut = stretch === null ? null : cutOf(stretch);
  const entries = (await readVehicles(store)).filter((vehicle) => vehicle.vehicleId === vehicleId);
  const episodes: Record<string, number> = {};
  const tracker = new StretchTracker({
    vehicleId,
    entries,
    start: cut,
    onEpisode: ({ kind }) => {
      episodes[kind] = (episodes[kind] ?? 0) + 1;
    },
    onStretch: () => {},
  });
  const tally = new ReportTally();
  for await (const page of readReadings(store, { vehicleId, ...(cut !== null && { fromMs: stretch!.startMs }) })) {
    for (let row = 0; row < page.length; row++) {
      tally.add(page.timesMs[row]!, page.values, row * signalCount);
      tracker.accept(page.timesMs[row]!, page.driverIds[row]!, page.values, row * signalCount);
    }
  }
  tracker.finish();
  const learned = tracker.learned();
  if (learned === null || tally.rows === 0) return null;
  const held = (await policyValidities(store)).findLast(({ fromMs }) => fromMs <= nowMs);
  const parsed = held === undefined ? { policy: builtInPolicy } : parsePolicy(JSON.parse(held.document));
  const policy = 'policy' in parsed ? parsed.policy : builtInPolicy;
  return truckLevels(learned, tally, episodes, { policy, sites: await readSites(store) });
}
