/**
 * Standing, on samples: what surely was a standstill, and what may have been one.
 *
 * The contract: speed 0 is standing where nothing contradicts it; forward or reverse gear together with pressure, torque or
 * position that moves contradicts it. A standstill with the parking brake applied, in neutral, or with the service brake
 * pressed lasts as long as its zeros; one known only from zeros may be shorter by the ramps to and from the blind speed, at
 * most 2 s each. A silence of the whole vehicle between two rows that both stand with the parking brake applied (or the
 * ignition off), at the same position where one is reported, is standing. Times in ms since the epoch.
 */
import type { Episode, Evidence } from '@gearhold/episodes';
import { metresBetween } from '../site.ts';
import { firstAfter, lastAtOrBefore, type Samples, samplesOf, valueAt } from './samples.ts';

/** A stretch of time, ms, both ends inclusive. */
export interface Stretch {
  readonly startMs: number;
  readonly endMs: number;
}

export interface Room extends Stretch {
  /** The rows begin, or end, before a moving sample closes the room on that side. */
  readonly openStart: boolean;
  readonly openEnd: boolean;
}

/** Longest ramp between standing and the blind speed, ms (contract). */
export const rampMs = 2000;
const samePositionMetres = 10;
/** Change of torque that shows the driveline working, % of reference torque (assumed: three steps of the bus signal). */
const torqueMovesPct = 3;
/** Change of position that shows movement whatever the receiver's noise, m (assumed). */
const positionMovesMetres = 10;

export type LoadSignal = Episode['loadSignal'];

/** Whether something holds the vehicle at an instant: parking brake, neutral or brake pedal, by what stands there. */
export function isHeld(evidence: Evidence, timeMs: number): boolean {
  return (
    isParked(evidence, timeMs) ||
    valueAt(samplesOf(evidence, 'gear'), timeMs) === 0 ||
    valueAt(samplesOf(evidence, 'serviceBrake'), timeMs) === 1
  );
}

/** Whether a brake is reported as applied at an instant, by foot or by hand. */
export function isBraked(evidence: Evidence, timeMs: number): boolean {
  return isParked(evidence, timeMs) || valueAt(samplesOf(evidence, 'serviceBrake'), timeMs) === 1;
}

/** Whether the parking brake is applied at an instant, by what stands there. */
function isParked(evidence: Evidence, timeMs: number): boolean {
  return valueAt(samplesOf(evidence, 'parkingBrake'), timeMs) === 1;
}

/**
 * Whether the vehicle, reading 0 at sample `i`, has stopped: parked, or held for as long as a brake pedal or neutral may take to
 * bring it to rest from below the blind speed.
 */
export function surelyStopped(evidence: Evidence, speed: Samples, i: number): boolean {
  const time = speed.times[i]!;
  if (speed.values[i] !== 0) return false;
  if (isParked(evidence, time)) return true;
  for (let j = i; j >= 0 && speed.values[j] === 0 && isHeld(evidence, speed.times[j]!); j--) {
    if (time - speed.times[j]! >= rampMs) return true;
    if (j > 0 && speed.times[j]! - speed.times[j - 1]! > speed.standsMs) return false;
  }
  return false;
}

/** Whether a speed reading shows movement whatever the source kept silent. */
export function surelyMoves(speed: Samples, i: number): boolean {
  return speed.values[i]! > speed.silentBelow;
}

/**
 * Stretches within `from` to `to` that are proven standstills, already shortened by the ramps where only zeros show them.
 */
export function sureStandstills(evidence: Evidence, loadSignal: LoadSignal, from: number, to: number): Stretch[] {
  const speed = samplesOf(evidence, 'speedKph');
  const found: Stretch[] = [];
  let first = -1;
  const close = (last: number) => {
    if (first >= 0) pushShortened(evidence, speed, first, last, found);
    first = -1;
  };
  const begin = Math.max(0, lastAtOrBefore(speed, from - 1) + 1);
  let i = begin;
  for (; i < speed.times.length && speed.times[i]! <= to; i++) {
    if (speed.values[i] !== 0) {
      close(i - 1);
      continue;
    }
    if (first >= 0 && !standsBetween(evidence, loadSignal, speed, i - 1)) close(i - 1);
    if (first < 0) first = i;
  }
  close(i - 1);
  return found;
}

function pushShortened(evidence: Evidence, speed: Samples, first: number, last: number, into: Stretch[]): void {
  const startMs = sureStart(evidence, speed, first, last);
  const endMs = sureEnd(evidence, speed, first, last);
  if (endMs >= startMs) into.push({ startMs, endMs });
}

/**
 * A truck comes to rest with its brake pedal pressed, and may roll in neutral: below the blind speed neither shows that it has
 * stopped. Only the parking brake cuts the ramp short.
 */
function sureStart(evidence: Evidence, speed: Samples, first: number, last: number): number {
  const limit = speed.times[first]! + rampMs;
  for (let i = first; i <= last && speed.times[i]! < limit; i++) {
    if (isParked(evidence, speed.times[i]!)) return speed.times[i]!;
  }
  return limit;
}

/** It does not move off in neutral, nor with either brake applied: the ramp begins after the last of these. */
function sureEnd(evidence: Evidence, speed: Samples, first: number, last: number): number {
  const limit = speed.times[last]! - rampMs;
  for (let i = last; i >= first && speed.times[i]! > limit; i--) {
    if (isHeld(evidence, speed.times[i]!)) return speed.times[i]!;
  }
  return limit;
}

/** Whether the vehicle surely stands between zero sample `i` and the next one, which reads 0 too. */
function standsBetween(evidence: Evidence, loadSignal: LoadSignal, speed: Samples, i: number): boolean {
  const from = speed.times[i]!;
  const to = speed.times[i + 1]!;
  if (to - from > speed.standsMs) return silentStanding(evidence, speed, i);
  // A foot on the brake in a gear: between two such samples a short pull fits unseen.
  if (to - from > speed.proofGapMs && !(isSecured(evidence, from) && isSecured(evidence, to))) return false;
  if (isFree(evidence, from) || isFree(evidence, to)) return false;
  return !contradicts(evidence, loadSignal, from, to);
}

/** Whether nobody can drive at an instant without a move of the hand first: parking brake applied, or in neutral. */
export function isSecured(evidence: Evidence, timeMs: number): boolean {
  return isParked(evidence, timeMs) || valueAt(samplesOf(evidence, 'gear'), timeMs) === 0;
}

/**
 * Whether the vehicle is free to roll: not known to be in neutral or parked, and the foot reported off the brake, or in reverse
 * and not reported on it. A truck creeps then, and a speed of 0 may be all that its sensor shows of it.
 */
function isFree(evidence: Evidence, timeMs: number): boolean {
  const gear = valueAt(samplesOf(evidence, 'gear'), timeMs);
  const foot = valueAt(samplesOf(evidence, 'serviceBrake'), timeMs);
  const driven = foot === 0 ? gear !== 0 : foot !== 1 && gear < 0;
  return driven && !isParked(evidence, timeMs) && valueAt(samplesOf(evidence, 'clutch'), timeMs) !== 1;
}

/**
 * The contract's exception: a silence of the whole vehicle between two rows that both show it standing and secured. Rows
 * without a speed may frame the silence; each must secure the vehicle too.
 */
function silentStanding(evidence: Evidence, speed: Samples, i: number): boolean {
  const from = speed.times[i]!;
  const to = speed.times[i + 1]!;
  const times = evidence.track.timesMs;
  const ignition = evidence.track.column('ignition');
  const brake = evidence.track.column('parkingBrake');
  if (!securedFor(evidence, from) || !securedFor(evidence, to)) return false;
  for (let row = speed.rows[i]! + 1; times[row]! < to; row++) {
    if (brake?.[row] !== 1 && ignition?.[row] !== 0) return false;
  }
  return samePlace(evidence, from, to);
}

function securedFor(evidence: Evidence, timeMs: number): boolean {
  return isParked(evidence, timeMs) || valueAt(samplesOf(evidence, 'ignition'), timeMs) === 0;
}

function samePlace(evidence: Evidence, from: number, to: number): boolean {
  const moved = metresMoved(evidence, from, to);
  return Number.isNaN(moved) || moved <= samePositionMetres;
}

/** Distance between the positions last reported at two instants, m; NaN where either is not known. */
function metresMoved(evidence: Evidence, from: number, to: number): number {
  const latitude = samplesOf(evidence, 'latitude');
  const longitude = samplesOf(evidence, 'longitude');
  const place = (timeMs: number) => ({ latitude: valueAt(latitude, timeMs), longitude: valueAt(longitude, timeMs) });
  return metresBetween(place(from), place(to));
}

/** Whether zeros are contradicted between two instants: a gear engaged, nothing holding, and something that moves. */
export function contradicts(evidence: Evidence, loadSignal: LoadSignal, from: number, to: number): boolean {
  const gear = valueAt(samplesOf(evidence, 'gear'), from);
  if (Number.isNaN(gear) || gear === 0 || isHeld(evidence, from) || isHeld(evidence, to)) return false;
  const load = samplesOf(evidence, loadSignal);
  const { noise, step } = evidence.learned;
  if (Math.abs(valueAt(load, to) - valueAt(load, from)) > Math.max(5 * noise, 2 * step, load.silentBelow)) return true;
  const torque = samplesOf(evidence, 'torquePct');
  if (Math.abs(valueAt(torque, to) - valueAt(torque, from)) > Math.max(torqueMovesPct, torque.silentBelow)) return true;
  return metresMoved(evidence, from, to) > positionMovesMetres;
}

/**
 * Stretches within `from` to `to` in which the samples leave room for a standstill: between moving samples, wherever a
 * zero lies between them or they are too far apart to show that the vehicle went on moving.
 */
export function roomForStandstill(evidence: Evidence, from: number, to: number): Room[] {
  const speed = samplesOf(evidence, 'speedKph');
  const rooms: Room[] = [];
  let startMs = from;
  let openStart = true;
  let zeroSeen = false;
  const before = lastAtOrBefore(speed, from);
  if (before >= 0 && surelyMoves(speed, before)) openStart = from - speed.times[before]! > speed.proofGapMs;
  const begin = Math.max(0, before);
  let previous = before >= 0 ? speed.times[before]! : Number.NEGATIVE_INFINITY;
  if (before >= 0 && !surelyMoves(speed, before)) zeroSeen = true;
  const leave = (endMs: number, openEnd: boolean, gapMs: number) => {
    if (endMs > startMs && (zeroSeen || gapMs > speed.proofGapMs)) rooms.push({ startMs, endMs, openStart, openEnd });
  };
  for (let i = before >= 0 ? begin + 1 : begin; i < speed.times.length && speed.times[i]! <= to; i++) {
    const time = speed.times[i]!;
    if (!surelyMoves(speed, i)) {
      zeroSeen = true;
      previous = time;
      continue;
    }
    leave(time, false, time - previous);
    startMs = time;
    openStart = false;
    zeroSeen = false;
    previous = time;
  }
  const after = firstAfter(speed, to);
  const nextMoves = after < speed.times.length && surelyMoves(speed, after);
  leave(to, !nextMoves, nextMoves ? speed.times[after]! - previous : Number.POSITIVE_INFINITY);
  return rooms;
}
