/**
 * Runs one labelled set through tracker and policy, in process, and compares with the truth beside it.
 */
import { type Episode, FleetTracker, type Vehicle } from '@gearhold/episodes';
import { generateSet, type TrueEpisode } from '@gearhold/fixtures';
import { builtInPolicy, judge, type WireEpisode } from '@gearhold/policy';

export interface SetFigures {
  readonly set: string;
  readonly vehicleHours: number;
  readonly trueEpisodes: number;
  readonly claimed: number;
  readonly hits: number;
  readonly precision: number;
  readonly recall: number;
  readonly f1: number;
  /** F1 without the episodes whose load came or went within a silence of 15 s or more: no row can place those. */
  readonly f1Seen: number;
  /** s between the true and the found load transfer, 95th percentile. */
  readonly transferErrorP95: number;
  /** Verdicts that are `met` or `missed`, on episodes that were found. */
  readonly provableVerdicts: number;
  readonly falseMissed: readonly string[];
}

const matchMs = 15_000;

export function measureSet(set: string, seed: string, size: number): SetFigures {
  const episodes: Episode[] = [];
  const rowTimes = new Map<string, number[]>();
  const rows: { id: string; timeMs: number; driverId: string | null; values: Float64Array }[] = [];
  const made = generateSet(set, seed, size, (id, timeMs, driverId, values) => {
    rows.push({ id, timeMs, driverId, values: values.slice() });
  });
  const vehicles = made.vehicles as unknown as Vehicle[];
  const fleet = new FleetTracker({ vehicles, onEpisode: (e) => void episodes.push(e) });
  for (const row of rows) {
    fleet.accept(row.id, row.timeMs, row.driverId, row.values, 0);
    const times = rowTimes.get(row.id);
    if (times === undefined) rowTimes.set(row.id, [row.timeMs]);
    else times.push(row.timeMs);
  }
  fleet.finish();
  const main = episodes.filter((e) => e.kind === 'coupling' || e.kind === 'uncoupling');
  const truth = made.truth.episodes.filter((e) => (e.kind === 'coupling' || e.kind === 'uncoupling') && e.detectable);
  const pairs = match(main, truth);
  const found = new Set(pairs.map(([e]) => e));
  const silent = truth.filter((t) => isSilentAt(rowTimes.get(t.vehicleId) ?? [], t.loadTransferTime));
  // A claim that is off because the rows were silent is the same episode, not a second one.
  const nearSilent = main.filter(
    (e) =>
      !found.has(e) &&
      silent.some(
        (t) =>
          t.vehicleId === e.vehicleId &&
          Math.abs(t.loadTransferTime - e.loadTransferTime.best) < 1_800_000 &&
          t.kind === e.kind,
      ),
  );
  const seenTruth = truth.length - silent.length;
  const seenHits = pairs.filter(([, t]) => !silent.includes(t)).length;
  const seenClaims = main.length - nearSilent.length - (pairs.length - seenHits);
  const errors = pairs
    .map(([e, t]) => Math.abs(e.loadTransferTime.best - t.loadTransferTime) / 1000)
    .sort((a, b) => a - b);
  const falseMissed: string[] = [];
  let provable = 0;
  for (const [episode, t] of pairs) {
    const vehicle = vehicles.find((v) => v.vehicleId === episode.vehicleId) ?? null;
    const wire: WireEpisode = judge(episode, builtInPolicy, { site: null, vehicle });
    for (const check of wire.checks) {
      if (check.outcome === 'met' || check.outcome === 'missed') provable += 1;
      const right = t.checks[check.check];
      if (check.outcome !== 'missed' || right === undefined) continue;
      if (right.outcome === 'met' || right.outcome === 'not-applicable') {
        falseMissed.push(
          `${check.check}, ${wire.vehicleId}, ${wire.kind} at ${wire.loadTransferTime}: ${check.reason}`,
        );
      }
    }
  }
  return {
    set,
    vehicleHours: made.truth.vehicleHours,
    trueEpisodes: truth.length,
    claimed: main.length,
    hits: pairs.length,
    precision: pairs.length / main.length,
    recall: pairs.length / truth.length,
    f1: (2 * pairs.length) / (main.length + truth.length),
    f1Seen: (2 * seenHits) / (seenClaims + seenTruth),
    transferErrorP95: errors[Math.floor(0.95 * errors.length)] ?? Number.NaN,
    provableVerdicts: provable,
    falseMissed,
  };
}

function match(found: readonly Episode[], truth: readonly TrueEpisode[]): [Episode, TrueEpisode][] {
  const used = new Set<Episode>();
  const pairs: [Episode, TrueEpisode][] = [];
  for (const t of truth) {
    const hit = found.find(
      (e) =>
        !used.has(e) &&
        e.kind === t.kind &&
        e.vehicleId === t.vehicleId &&
        Math.abs(e.loadTransferTime.best - t.loadTransferTime) <= matchMs,
    );
    if (hit === undefined) continue;
    used.add(hit);
    pairs.push([hit, t]);
  }
  return pairs;
}

function isSilentAt(times: readonly number[], instantMs: number): boolean {
  const next = times.findIndex((time) => time >= instantMs);
  return next > 0 && times[next] - times[next - 1] >= matchMs;
}
