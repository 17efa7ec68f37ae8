/**
 * The sheet against the analysis: which watched coupling or uncoupling is which found one, what was found that nobody
 * watched, whether each stopwatch time lies within the analysis's bounds, and each step against its verdict. Pure.
 */
import type { Episode, Interval } from '@gearhold/episodes';
import type { WireCheck, WireEpisode } from '@gearhold/policy';
import type { TimedMilestone } from './columns.ts';
import { compareSteps, type StepCompared } from './steps.ts';
import { isEpisode, type Watched, type WatchedEpisode } from './watched.ts';

/** An episode as the tracker made it, and as it was judged. */
export interface FoundEpisode {
  readonly episode: Episode;
  readonly wire: WireEpisode;
}

export interface Tolerances {
  /** How far the load transfer may lie from the watched times, s. */
  readonly windowSeconds: number;
  /** How far one press of the stopwatch may be off, s. */
  readonly stopwatchSeconds: number;
}

export interface TimeCompared {
  readonly milestone: TimedMilestone | 'tugTestTimes';
  readonly watchedMs: number;
  /** null where the analysis could not place it. */
  readonly bounds: Interval | null;
  /** How far outside the bounds, after the tolerance of the stopwatch, s; negative = before them; 0 = within. */
  readonly outsideSeconds: number | null;
}

export interface RowFound {
  readonly row: WatchedEpisode;
  readonly found: FoundEpisode;
  readonly times: readonly TimeCompared[];
  readonly steps: readonly StepCompared[];
}

export interface RowNotFound {
  readonly row: WatchedEpisode;
  /** What the analysis found of this truck nearest to the watched times, and how far away, s; null = nothing. */
  readonly nearest: { readonly found: FoundEpisode; readonly apartSeconds: number } | null;
}

export interface Unwatched {
  readonly found: FoundEpisode;
  /** The row in whose watch it lies. */
  readonly row: Watched;
  /** Its `missed` verdicts: each would accuse somebody of something that nobody saw happen. */
  readonly missed: readonly WireCheck[];
}

export interface Comparison {
  readonly found: readonly RowFound[];
  readonly notFound: readonly RowNotFound[];
  readonly unwatched: readonly Unwatched[];
  /** Rows of trucks without a reading in the time: nothing is compared. */
  readonly noReadings: readonly Watched[];
  /** Rows in which nothing was coupled or uncoupled, with readings. */
  readonly quiet: number;
}

/** `hasReadings`: whether the truck of a row sent anything while it was watched. */
export function compare(
  rows: readonly Watched[],
  episodes: readonly FoundEpisode[],
  hasReadings: (row: Watched) => boolean,
  tolerances: Tolerances,
): Comparison {
  const comparable = rows.filter(hasReadings);
  const watched = comparable.filter(isEpisode);
  const main = episodes.filter(({ wire }) => wire.kind === 'coupling' || wire.kind === 'uncoupling');
  const pairs = matched(watched, main, tolerances.windowSeconds);
  const taken = new Set(pairs.values());
  return {
    found: watched.flatMap((row) => {
      const found = pairs.get(row);
      if (found === undefined) return [];
      const steps = compareSteps(row, found.wire, tolerances.stopwatchSeconds);
      return [{ row, found, times: compareTimes(row, found.episode, tolerances.stopwatchSeconds), steps }];
    }),
    notFound: watched
      .filter((row) => !pairs.has(row))
      .map((row) => ({ row, nearest: nearestOf(row, episodes, taken) })),
    unwatched: main.filter((found) => !taken.has(found)).flatMap((found) => unwatchedIn(found, comparable)),
    noReadings: rows.filter((row) => !hasReadings(row)),
    quiet: comparable.length - watched.length,
  };
}

/** The nearest first; each row and each episode once. */
function matched(
  rows: readonly WatchedEpisode[],
  episodes: readonly FoundEpisode[],
  windowSeconds: number,
): Map<WatchedEpisode, FoundEpisode> {
  const candidates = rows.flatMap((row) =>
    episodes
      .filter(({ wire }) => wire.vehicleId === row.vehicleId && wire.kind === row.kind)
      .map((found) => ({ row, found, apart: apartSeconds(row, found.episode) })),
  );
  const near = candidates.filter(({ apart }) => apart <= windowSeconds).sort((a, b) => a.apart - b.apart);
  const pairs = new Map<WatchedEpisode, FoundEpisode>();
  const taken = new Set<FoundEpisode>();
  for (const { row, found } of near) {
    if (pairs.has(row) || taken.has(found)) continue;
    pairs.set(row, found);
    taken.add(found);
  }
  return pairs;
}

/** Between the load transfer and when it was watched, s; 0 within the watched times around it. */
function apartSeconds(row: WatchedEpisode, episode: Episode): number {
  const [from, to] = transferSeen(row);
  const time = episode.loadTransferTime.best;
  return Math.max(0, from - time, time - to) / 1000;
}

/** Where the load comes on, or goes off, each from the narrowest to the widest. */
const around: Readonly<Record<WatchedEpisode['kind'], readonly (readonly TimedMilestone[])[]>> = {
  coupling: [['loadTransferTime'], ['contactTime', 'seatedTime'], ['approachTime', 'departureTime']],
  uncoupling: [
    ['loadTransferTime'],
    ['dumpTime', 'pullOutTime', 'releaseTime'],
    ['holdStartTime', 'holdEndTime'],
    ['standTime', 'clearTime'],
  ],
};

function transferSeen({ kind, times }: WatchedEpisode): readonly [number, number] {
  for (const names of around[kind]) {
    const known = names.flatMap((name) => times.get(name) ?? []);
    if (known.length > 0) return [Math.min(...known), Math.max(...known)];
  }
  throw new RangeError('a watched row has at least one time');
}

function compareTimes(row: WatchedEpisode, episode: Episode, tolerance: number): TimeCompared[] {
  const milestones = episode.milestones as Readonly<Record<string, Interval | null | readonly Interval[] | undefined>>;
  const compared: TimeCompared[] = [];
  for (const [milestone, watchedMs] of row.times) {
    const known = milestone === 'loadTransferTime' ? episode.loadTransferTime : milestones[milestone];
    compared.push(timeIn(milestone, watchedMs, [known ?? []].flat(), tolerance));
  }
  const tugs = [milestones.tugTestTimes ?? []].flat();
  for (const watchedMs of row.tugTestTimes) compared.push(timeIn('tugTestTimes', watchedMs, tugs, tolerance));
  return compared;
}

/** Against the nearest of the bounds. */
function timeIn(
  milestone: TimeCompared['milestone'],
  watchedMs: number,
  candidates: readonly Interval[],
  tolerance: number,
): TimeCompared {
  let nearest: TimeCompared = { milestone, watchedMs, bounds: null, outsideSeconds: null };
  for (const bounds of candidates) {
    const early = Math.max(0, (bounds.low - watchedMs) / 1000 - tolerance);
    const late = Math.max(0, (watchedMs - bounds.high) / 1000 - tolerance);
    const outsideSeconds = early > 0 ? -early : late;
    if (nearest.outsideSeconds === null || Math.abs(outsideSeconds) < Math.abs(nearest.outsideSeconds)) {
      nearest = { milestone, watchedMs, bounds, outsideSeconds };
    }
  }
  return nearest;
}

/** Further away than this it is another matter, s. */
const nearSeconds = 600;

function nearestOf(
  row: WatchedEpisode,
  episodes: readonly FoundEpisode[],
  taken: ReadonlySet<FoundEpisode>,
): RowNotFound['nearest'] {
  const near = episodes
    .filter((found) => found.wire.vehicleId === row.vehicleId && !taken.has(found))
    .map((found) => ({ found, apartSeconds: apartSeconds(row, found.episode) }))
    .filter((one) => one.apartSeconds <= nearSeconds)
    .sort((a, b) => a.apartSeconds - b.apartSeconds);
  return near[0] ?? null;
}

function unwatchedIn(found: FoundEpisode, rows: readonly Watched[]): Unwatched[] {
  const { episode, wire } = found;
  const time = episode.loadTransferTime.best;
  const row = rows.find((one) => one.vehicleId === wire.vehicleId && one.fromMs <= time && time <= one.untilMs);
  if (row === undefined) return [];
  return [{ found, row, missed: wire.checks.filter(({ outcome }) => outcome === 'missed') }];
}
