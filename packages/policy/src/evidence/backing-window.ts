/**
 * The last reverse run of a coupling as two windows: one surely inside it, one that it surely lies in.
 *
 * The contract: the run begins after the last standstill of 3 s or more, or forward movement, before the load comes on, gear
 * or no gear, and ends when the kingpin is home; where the load comes on at standstill, it is the reversing just before.
 * Less than 0.3 m forward is slack. Times in ms since the epoch.
 */
import type { Attempt, Coupling, Evidence, Interval, Run } from '@gearhold/episodes';
import { firstAfter, firstAtOrAfter, lastAtOrBefore, samplesOf, valueAt } from './samples.ts';
import {
  contradicts,
  type LoadSignal,
  roomForStandstill,
  type Stretch,
  surelyMoves,
  surelyStopped,
  sureStandstills,
} from './standing.ts';
import { leastMetres, mostMetres } from './travel.ts';

export interface BackingWindow {
  /** Shortest window, or null where its edges leave nothing sure. */
  readonly sure: Stretch | null;
  /** Longest window. */
  readonly possible: Stretch;
  /** The window that is printed. */
  readonly best: Stretch;
  /** When the kingpin is home, or the reversing ended if the load came on at standstill. */
  readonly end: Interval;
  /** From here on no sample shows movement any more: the kingpin may be home that early, ms. */
  readonly earliestHome: number;
  /** And reversing may have gone on unseen up to here, ms. */
  readonly latestHome: number;
  /** Whether the truck may have crept on after it, too slow for its speed sensor. */
  readonly mayHaveCreptOn: boolean;
}

/** A standstill of this length ends a reverse run, ms (contract). */
const endsRunMs = 3000;
/** Forward movement of less than this is slack, m (contract). */
const slackMetres = 0.3;
/** How far before the tracker's approach a run may turn out to reach, ms: the walk back stops there at the latest. */
const farthestBackMs = 10 * 60_000;

const kept = new WeakMap<Coupling | Attempt, BackingWindow | null>();

/** The windows of the last reverse run, or null where the data cannot place it. The same object for the same episode. */
export function backingWindow(episode: Coupling | Attempt): BackingWindow | null {
  let window = kept.get(episode);
  if (window === undefined) {
    window = placeWindow(episode);
    kept.set(episode, window);
  }
  return window;
}

function placeWindow(episode: Coupling | Attempt): BackingWindow | null {
  const { evidence, milestones, loadSignal } = episode;
  const { approachTime: approach } = milestones;
  if (approach === null) return null;
  const last = lastBacking(episode, approach);
  const end = runEnd(episode, last);
  if (end === null || end.high <= approach.low) return null;
  const unseen = last === null ? [] : unseenReversing(episode, last);
  // Standing in between makes the unseen reversing a run of its own, and nothing is sure of its start.
  // And where it reversed again after what was taken for the seat, the two do not agree on which run was the last.
  const again = last !== null && last.start.low > (episode.milestones.seatedTime?.high ?? Number.POSITIVE_INFINITY);
  const creeps = last === null || again || unseen.some((time) => time - last.end.low >= endsRunMs);
  const possible = {
    startMs: earliestStart(evidence, loadSignal, approach, end),
    endMs: Math.max(end.high, ...unseen, ...movingUntilContact(episode, approach)),
  };
  const sureStart = latestStart(evidence, loadSignal, approach, end, last);
  // The kingpin may be home as soon as no sample shows movement any more.
  const sureEnd = Math.min(end.low, lastMovingSample(evidence, end.low));
  return {
    end,
    earliestHome: Math.min(end.low, Math.max(approach.low, sureEnd)),
    latestHome: possible.endMs,
    mayHaveCreptOn: creeps,
    sure: sureStart < sureEnd && !creeps ? { startMs: sureStart, endMs: sureEnd } : null,
    possible,
    best: { startMs: Math.min(approach.best, end.best), endMs: end.best },
  };
}

/** Between which instants the kingpin came home at the widest: unseen creeping may have come before, or after, what was seen. */
export function homeBetween(episode: Coupling, seated: Interval): Interval {
  const backing = backingWindow(episode);
  if (backing === null) return seated;
  const low = Math.min(seated.low, backing.earliestHome);
  return { low, high: Math.max(seated.high, backing.latestHome), best: seated.best };
}

/** The last run that may be reversing before the load is on. */
function lastBacking(episode: Coupling | Attempt, approach: Interval): Run | null {
  const latest = (episode.milestones.seatedTime ?? episode.loadTransferTime).high;
  // Whatever reverses before any load shows comes nearer to it than a backing that brought none.
  const untilContact = Math.max(latest, episode.milestones.contactTime?.high ?? latest);
  let last: Run | null = null;
  for (const run of episode.evidence.runs) {
    if (run.kind !== 'reverse' && run.kind !== 'moving') continue;
    if (run.start.best <= (run.kind === 'reverse' ? untilContact : latest) && run.end.high >= approach.low) last = run;
  }
  return last;
}

/** Ends of the movements, perhaps reversing, that began before any load was on: the run may have gone on to there. */
function movingUntilContact({ evidence, milestones }: Coupling | Attempt, approach: Interval): number[] {
  const contact = milestones.contactTime;
  if (contact === null) return [];
  return evidence.runs
    .filter((run) => run.kind === 'moving' && run.start.low >= approach.low && run.start.low <= contact.high)
    .map((run) => run.end.high);
}

/** When the kingpin is home, or the reversing ended if the load came on at standstill. */
function runEnd(episode: Coupling | Attempt, last: Run | null): Interval | null {
  const { seatedTime: seated } = episode.milestones;
  if (last === null) return seated;
  // Long after the last reversing the load came on, or settled, at standstill; or it reversed after what was taken for the seat.
  if (seated === null || seated.low > last.end.high + endsRunMs) return last.end;
  if (last.start.low > seated.high) return last.end;
  const low = Math.min(seated.low, last.end.low);
  const high = Math.max(seated.high, Math.min(last.end.high, seated.high + endsRunMs));
  return { low, high, best: Math.min(high, Math.max(low, seated.best)) };
}

/**
 * When, after the last visible reversing and until half of the load is on, the vehicle may have reversed unseen: too slow for
 * its speed sensor, wherever it is not surely stopped and no signal speaks against reverse; or in a hole of the speed that is
 * no proven standstill.
 */
function unseenReversing(episode: Coupling | Attempt, last: Run): number[] {
  const { evidence, loadSignal, milestones, loadTransferTime: transfer } = episode;
  const until = Math.max(milestones.contactTime?.high ?? transfer.low, transfer.low);
  const speed = samplesOf(evidence, 'speedKph');
  const gear = samplesOf(evidence, 'gear');
  const unseen: number[] = [];
  const stands = sureStandstills(evidence, loadSignal, last.start.low, Math.max(until, transfer.high));
  for (let i = firstAfter(speed, last.end.low); i > 0 && i < speed.times.length; i++) {
    const before = speed.times[i - 1]!;
    const time = speed.times[i]!;
    if (before > until) break;
    if (before < last.end.low || time - before <= speed.standsMs) continue;
    if (!stands.some(({ startMs, endMs }) => startMs <= before && endMs >= time)) unseen.push(time);
  }
  for (let i = firstAtOrAfter(speed, last.end.high); i < speed.times.length && speed.times[i]! <= until; i++) {
    const time = speed.times[i]!;
    if (!surelyStopped(evidence, speed, i) && !(valueAt(gear, time) >= 0)) unseen.push(time);
  }
  return unseen;
}

function lastMovingSample(evidence: Evidence, byMs: number): number {
  const speed = samplesOf(evidence, 'speedKph');
  let i = lastAtOrBefore(speed, byMs);
  while (i >= 0 && !surelyMoves(speed, i)) i -= 1;
  return i < 0 ? Number.NEGATIVE_INFINITY : speed.times[i]!;
}

/** Earliest start that the samples leave room for: back over whatever surely ended no run. */
function earliestStart(evidence: Evidence, loadSignal: LoadSignal, approach: Interval, end: Interval): number {
  const from = Math.max(evidence.track.timesMs[0] ?? approach.low, approach.low - farthestBackMs);
  let start = from;
  for (const stand of sureStandstills(evidence, loadSignal, from, end.low)) {
    if (stand.endMs - stand.startMs >= endsRunMs) start = Math.max(start, stand.endMs);
  }
  for (const run of evidence.runs) {
    if (run.kind !== 'forward' || run.end.low > end.low || run.end.low < from) continue;
    if (leastMetres(evidence, run.start.high, run.end.low) >= slackMetres) start = Math.max(start, run.end.low);
  }
  // Nobody reverses in a forward gear.
  const gear = samplesOf(evidence, 'gear');
  for (let i = 0; i < gear.times.length && gear.times[i]! <= Math.min(approach.high, end.low); i++) {
    if (gear.values[i]! > 0) start = Math.max(start, gear.times[i]!);
  }
  return Math.min(start, approach.low);
}

/** Latest start that the samples leave room for: after everything that may have ended a run before. */
function latestStart(
  evidence: Evidence,
  loadSignal: LoadSignal,
  approach: Interval,
  end: Interval,
  last: Run | null,
): number {
  let start = approach.high;
  for (const room of roomForStandstill(evidence, approach.low, end.low)) {
    if (longestUncontradicted(evidence, loadSignal, room) >= endsRunMs) start = Math.max(start, room.endMs);
  }
  for (const run of evidence.runs) {
    if (run === last || run.kind === 'standing' || run.kind === 'reverse') continue;
    if (run.start.low > end.low || run.end.high < approach.low) continue;
    if (mostMetres(evidence, run.start.low, run.end.high) >= slackMetres) start = Math.max(start, run.end.high);
  }
  return start;
}

/** The longest part of a room in which nothing contradicts standing, ms. */
function longestUncontradicted(evidence: Evidence, loadSignal: LoadSignal, room: Stretch): number {
  const speed = samplesOf(evidence, 'speedKph');
  let longest = 0;
  let since = room.startMs;
  let previous = room.startMs;
  for (let i = 0; i < speed.times.length && speed.times[i]! <= room.endMs; i++) {
    const time = speed.times[i]!;
    if (time <= room.startMs) continue;
    if (time - previous <= speed.proofGapMs && contradicts(evidence, loadSignal, previous, time)) since = time;
    longest = Math.max(longest, time - since);
    previous = time;
  }
  return Math.max(longest, room.endMs - since);
}
