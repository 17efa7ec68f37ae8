/**
 * Records of dispatch matched to the episodes that were seen: of the same vehicle and the same kind (hook and coupling, drop
 * and uncoupling), one to one, by least total difference in time. What stays alone on either side is told with the reason as
 * far as the readings know one. Pure.
 */
import type { WireEpisode } from '@gearhold/policy';
import { pairInTime, wilson } from '@gearhold/rates';
import type { TruckLevels, WorkMatch } from '@gearhold/schemas';
import { quantileSorted } from 'simple-statistics';
import type { WrittenRecord } from './work-file.ts';

type MatchedEpisode = Extract<WorkMatch, { result: 'matched' }>['episode'];
type Result<T extends WorkMatch['result']> = Extract<WorkMatch, { result: T }>;

/** What the readings cover of a truck, and whether anything can be seen on it. */
export type Covered = Pick<TruckLevels, 'firstTime' | 'lastTime' | 'loadSignal' | 'signals'>;

export interface WorkMatched {
  /** Each by time, then vehicle. */
  readonly matched: readonly Result<'matched'>[];
  readonly recordOnly: readonly Result<'record-only'>[];
  readonly episodeOnly: readonly Result<'episode-only'>[];
  readonly summary: Result<'summary'>;
}

/** Couplings and uncouplings, as far as matching needs them; anything else is null. */
export function matchable(episode: WireEpisode): MatchedEpisode | null {
  const { episodeId, kind, vehicleId, driverId, loadTransferTime, siteId, trailerLoad, confidence } = episode;
  if (kind !== 'coupling' && kind !== 'uncoupling') return null;
  return { episodeId, kind, vehicleId, driverId, loadTransferTime, siteId, trailerLoad, confidence };
}

const kindOf = { hook: 'coupling', drop: 'uncoupling' } as const;

/**
 * @param trucks what the readings cover, by vehicle
 * @param windowMinutes furthest that a record may lie from its episode
 */
export function matchWork(
  records: readonly WrittenRecord[],
  episodes: readonly MatchedEpisode[],
  trucks: ReadonlyMap<string, Covered>,
  windowMinutes: number,
): WorkMatched {
  const windowMs = windowMinutes * 60_000;
  const recordsOf = Map.groupBy(records, ({ vehicleId, action }) => keyOf(vehicleId, kindOf[action]));
  const episodesOf = Map.groupBy(episodes, ({ vehicleId, kind }) => keyOf(vehicleId, kind));
  const matched: Result<'matched'>[] = [];
  const recordOnly: Result<'record-only'>[] = [];
  const episodeOnly: Result<'episode-only'>[] = [];
  const span = {
    firstMs: msOf(records[0]),
    lastMs: msOf(records.at(-1)),
    vehicles: new Set(records.map((r) => r.vehicleId)),
  };
  for (const key of new Set([...recordsOf.keys(), ...episodesOf.keys()])) {
    const written = (recordsOf.get(key) ?? []).toSorted((a, b) => msOf(a) - msOf(b) || a.line - b.line);
    const seen = (episodesOf.get(key) ?? []).toSorted((a, b) => transferOf(a) - transferOf(b));
    const { pairs, aloneA, aloneB } = pairInTime(written.map(msOf), seen.map(transferOf), windowMs);
    for (const [i, j] of pairs) {
      const [record, episode] = [written[i]!, seen[j]!];
      matched.push({ result: 'matched', record, episode, secondsLater: secondsLater(record, episode) });
    }
    for (const i of aloneA) {
      const record = written[i]!;
      const reason = whyNotSeen(record, trucks.get(record.vehicleId));
      const otherKindSecondsLater = otherKind(record, episodesOf, windowMs);
      recordOnly.push({ result: 'record-only', record, reason, otherKindSecondsLater });
    }
    for (const j of aloneB) {
      const episode = seen[j]!;
      const outside = transferOf(episode) < span.firstMs - windowMs || transferOf(episode) > span.lastMs + windowMs;
      const reason = !span.vehicles.has(episode.vehicleId)
        ? 'vehicle-not-in-work'
        : outside
          ? 'outside-work'
          : 'no-record';
      episodeOnly.push({ result: 'episode-only', episode, reason });
    }
  }
  matched.sort((a, b) => byTime(a.record.time, b.record.time, a.record.vehicleId, b.record.vehicleId));
  recordOnly.sort((a, b) => byTime(a.record.time, b.record.time, a.record.vehicleId, b.record.vehicleId));
  episodeOnly.sort((a, b) =>
    byTime(a.episode.loadTransferTime, b.episode.loadTransferTime, a.episode.vehicleId, b.episode.vehicleId),
  );
  const later = matched.map((one) => one.secondsLater).sort((a, b) => a - b);
  return {
    matched,
    recordOnly,
    episodeOnly,
    summary: {
      result: 'summary',
      windowMinutes,
      all: share(matched, recordOnly, () => true),
      hooks: share(matched, recordOnly, (action) => action === 'hook'),
      drops: share(matched, recordOnly, (action) => action === 'drop'),
      medianSecondsLater: later.length === 0 ? null : Math.round(quantileSorted(later, 0.5)),
    },
  };
}

/** Every result as it goes out: what matched, what did not on either side, and the sum. */
export function workResults({ matched, recordOnly, episodeOnly, summary }: WorkMatched): WorkMatch[] {
  return [...matched, ...recordOnly, ...episodeOnly, summary];
}

/** The share of records that were found, of those that the readings cover. */
function share(
  matched: readonly Result<'matched'>[],
  recordOnly: readonly Result<'record-only'>[],
  wanted: (action: WrittenRecord['action']) => boolean,
): Result<'summary'>['all'] {
  const found = matched.filter(({ record }) => wanted(record.action)).length;
  const missing = recordOnly.filter(
    ({ record, reason }) => wanted(record.action) && (reason === 'not-seen' || reason === 'blind-truck'),
  ).length;
  const sure = wilson(found, found + missing);
  const round = (number: number) => Number(number.toFixed(6));
  return {
    records: found + missing,
    found,
    share: sure === null ? null : round(sure.share),
    low: round(sure?.low ?? 0),
    high: round(sure?.high ?? 1),
  };
}

function whyNotSeen(record: WrittenRecord, truck: Covered | undefined): Result<'record-only'>['reason'] {
  if (truck === undefined) return 'no-readings';
  const timeMs = msOf(record);
  if (timeMs < Date.parse(truck.firstTime) || timeMs > Date.parse(truck.lastTime)) return 'outside-readings';
  const blind = truck.loadSignal === null || truck.signals.every(({ signal }) => signal !== 'speedKph');
  return blind ? 'blind-truck' : 'not-seen';
}

/** The nearest episode of the other kind: a record may say hook where a drop was meant. */
function otherKind(
  record: WrittenRecord,
  episodesOf: ReadonlyMap<string, readonly MatchedEpisode[]>,
  windowMs: number,
): number | null {
  const kind = record.action === 'hook' ? 'uncoupling' : 'coupling';
  const all = (episodesOf.get(keyOf(record.vehicleId, kind)) ?? []).map((episode) => secondsLater(record, episode));
  const near = all.filter((seconds) => Math.abs(seconds) * 1000 <= windowMs);
  return near.length === 0 ? null : near.reduce((a, b) => (Math.abs(b) < Math.abs(a) ? b : a));
}

function keyOf(vehicleId: string, kind: 'coupling' | 'uncoupling'): string {
  return JSON.stringify([vehicleId, kind]);
}

function msOf(record: WrittenRecord | undefined): number {
  return record === undefined ? Number.NaN : Date.parse(record.time);
}

function transferOf({ loadTransferTime }: MatchedEpisode): number {
  return Date.parse(loadTransferTime);
}

function secondsLater(record: WrittenRecord, episode: MatchedEpisode): number {
  return Math.round((msOf(record) - transferOf(episode)) / 1000);
}

function byTime(a: string, b: string, vehicleA: string, vehicleB: string): number {
  if (a !== b) return a < b ? -1 : 1;
  return vehicleA < vehicleB ? -1 : vehicleA > vehicleB ? 1 : 0;
}
