/**
 * Which backing took the trailer, and how far the reverse run around it may reach. Wheel sensors read 0 below some km/h, so
 * a run may begin, end, or pass wholly unseen: reverse gear with nothing holding the vehicle is all that shows it.
 */
import { type Interval, interval } from '../bounds/interval.ts';
import { type Move, shortestStandMs } from '../motion/moves.ts';
import { heldAt } from '../motion/runs.ts';
import type { Scene } from './scene.ts';
import type { Transfer } from './transfer.ts';

/** Load that begins within this after backing up began under the trailer, s: the spring answers within a second or two. */
const promptSeconds = 6;
/** From letting the brakes go to moving, ms (common practice). */
const letGoMs = 1000;
/** Longest ramp between standing and the blind speed, ms (contract): so long a brake may be pressed before the truck stands. */
const rampMs = 2000;
/** It takes about this to stop from below the blind speed, ms (common practice). */
const usualStopMs = 500;
/** In reverse with nothing holding it for less than this, ms, a truck has hardly backed. */
const leastBlindMs = 2000;

/** Whether the load began to come on with a backing, or soon after it. */
export function isPrompt(transfer: Transfer, backing: Move): boolean {
  return transfer.onset.low <= backing.end.high + promptSeconds * 1000;
}

/** The backing that took the trailer: the last reverse move that began before half of the load was on. */
export function backingOf(scene: Scene, transfer: Transfer): Move | null {
  const { before } = transfer;
  const notBefore = before.move?.kind === 'reverse' || before.move?.kind === 'moving' ? before.fromMs : before.toMs;
  const found = seenBacking(scene, transfer, notBefore);
  const blind = blindBacking(scene, transfer, notBefore);
  if (blind === null || found === null) return found ?? blind;
  // Load may have come on in the first, as under a trailer that stands a little high or with a lift axle that goes up: where
  // the truck then stood, and reversed again before half was on, the second is the last run, if it moved at all.
  const times = scene.track.timesMs;
  if (times[blind.lastRow] - times[blind.firstRow] < leastBlindMs || blind.firstRow <= found.lastRow) return found;
  if (reverseRun(scene, blind, transfer.time.high).start.best <= found.end.best) return found;
  return {
    ...blind,
    start: interval(found.start.low, blind.start.high, blind.start.best),
    end: interval(found.end.low, blind.end.high, blind.end.best),
  };
}

/** The last reverse move that the wheel sensor, or the load, shows. */
function seenBacking(scene: Scene, transfer: Transfer, notBeforeMs: number): Move | null {
  let found: Move | null = null;
  for (const move of scene.moves) {
    if (move.start.best >= transfer.time.high || move.end.best < notBeforeMs) continue;
    if (move.kind === 'reverse') found = move;
    else if (move.kind === 'moving' && !scene.gearReported) found = move;
    // Some metres forward, and the trailer of an earlier backing is no longer under it.
    else if (found !== null && move.kind === 'forward' && move.metres.low > 3 && move.end.best < transfer.onset.low)
      found = null;
  }
  return found;
}

/** The last stretch of reverse gear whose speed reads 0 throughout: slower than the sensor can see. */
function blindBacking(scene: Scene, transfer: Transfer, notBeforeMs: number): Move | null {
  const { gear } = scene.columns;
  if (gear === null) return null;
  const times = scene.track.timesMs;
  const creeps = (row: number) => gear[row] < 0 && !heldAt(scene.columns, row);
  let last = -1;
  for (let row = 0; row < scene.track.length; row++) {
    if (times[row] >= transfer.time.high) break;
    if (times[row] >= notBeforeMs && creeps(row)) last = row;
  }
  if (last < 0) return null;
  let first = last;
  // Held for a moment, it goes on; held longer, another run begins (contract: a standstill of 3 s or more).
  for (let row = last - 1; row >= 0 && gear[row] < 0 && times[first] - times[row] <= shortestStandMs; row--)
    if (creeps(row)) first = row;
  const before = Math.max(0, first - 1);
  const after = Math.min(scene.track.length - 1, last + 1);
  return {
    kind: 'reverse',
    start: widened(times[before], times[first], Math.min(transfer.onset.high, times[last])),
    end: interval(times[last], times[after]),
    metres: interval(0, ((times[after] - times[before]) / 1000) * (6 / 3.6)),
    firstRow: first,
    lastRow: last,
  };
}

/** Reverse gear may be in for a while before the vehicle creeps. */
function widened(lowMs: number, gearMs: number, onsetMs: number): Interval {
  return interval(lowMs, Math.max(gearMs, Math.min(onsetMs, gearMs + 60_000)), gearMs);
}

/** When a reverse run began and ended. */
export interface ReverseRun {
  readonly start: Interval;
  readonly end: Interval;
}

/**
 * The reverse run of a backing, up to an instant, ms. It may reach beyond what was seen, as long as reverse gear is in and
 * nothing shows a standstill of 3 s (contract); where both brakes are reported, letting them go and pressing them in reverse
 * are its likely beginning and end.
 */
export function reverseRun(scene: Scene, backing: Move, untilMs: number): ReverseRun {
  const { gear, parkingBrake, serviceBrake } = scene.columns;
  const { start, end, firstRow, lastRow } = backing;
  if (gear === null || backing.kind !== 'reverse') return { start, end };
  const times = scene.track.timesMs;
  const told = parkingBrake !== null && serviceBrake !== null;
  let last = scene.track.length - 1;
  while (last > lastRow && times[last] >= untilMs) last -= 1;

  const earliest = runTo(scene, firstRow, 0, shortestStandMs + rampMs);
  const low = Math.min(start.low, times[Math.max(0, earliest - 1)]);
  const begun = told ? runTo(scene, firstRow, 0, shortestStandMs + usualStopMs) : firstRow;
  const began = Math.min(times[Math.max(0, begun - 1)] + letGoMs, times[begun], start.best);

  const latest = runTo(scene, lastRow, last, shortestStandMs + rampMs);
  // Under the brake pedal it may roll for a ramp yet; under the parking brake it stands.
  const over = Math.min(scene.track.length - 1, latest + 1);
  const high = Math.max(end.high, times[over] + (parkingBrake?.[over] === 1 ? 0 : rampMs));
  const done = told ? runTo(scene, lastRow, last, shortestStandMs + usualStopMs) : lastRow;
  const ended = times[done] - end.best > leastBlindMs ? times[done] : end.best;
  return {
    start: interval(low, start.high, begun < firstRow ? Math.max(low, began) : start.best),
    end: interval(end.low, high, Math.min(high, ended)),
  };
}

/**
 * The row farthest from `row`, on its way to `last`, of the same stretch of reverse gear: free to roll, and reached without a
 * brake that was on for `heldMs` or more.
 */
function runTo(scene: Scene, row: number, last: number, heldMs: number): number {
  const { columns } = scene;
  const gear = columns.gear!;
  const times = scene.track.timesMs;
  const way = last < row ? -1 : 1;
  let reached = row;
  let held = -1;
  for (let r = row; r !== last; ) {
    r += way;
    if (!(gear[r] < 0) || columns.parkingBrake?.[r] === 1) break;
    if (columns.speed![r] > 0 || !heldAt(columns, r)) {
      reached = r;
      held = -1;
    } else {
      if (held < 0) held = r;
      if (Math.abs(times[held] - times[r]) >= heldMs) break;
    }
  }
  return reached;
}
