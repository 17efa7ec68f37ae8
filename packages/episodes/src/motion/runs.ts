/**
 * Motion: standing, forward, reverse, or moving in a direction that no signal shows; from speed, gear, brakes and
 * position, knowing that speed is unsigned and reads 0 below the blind speed.
 *
 * A run is a stretch of one kind. Its start and end are intervals: between the last sample that shows the state before and
 * the first that shows it, widened by the ramp to and from the blind speed (at most 2 s) where the standstill is known
 * from zeros only. Metres are bounded by the lower and the higher of neighbouring samples, and by the blind speed where
 * the samples read 0 without the vehicle being held.
 */
import type { SignalName } from '@gearhold/signals';
import { interval } from '../bounds/interval.ts';
import type { Cadence, Run, RunKind, Track } from '../evidence.ts';
import { standingValues } from '../track/standing-values.ts';

/** Longest ramp between standing and the blind speed, ms (contract). */
const rampMs = 2000;
const kphToMps = 1 / 3.6;

/** The columns of motion, carried forward, for one track. */
export interface MotionColumns {
  readonly speed: Float64Array | null;
  readonly gear: Float64Array | null;
  readonly parkingBrake: Float64Array | null;
  readonly serviceBrake: Float64Array | null;
  readonly ignition: Float64Array | null;
  /** 1 where a speed of 0 is contradicted: in gear, held by nothing, and the load moves. */
  readonly creeping: Uint8Array | null;
}

export function motionColumns(track: Track, cadence: (signal: SignalName) => Cadence): MotionColumns {
  const of = (signal: SignalName) => standingValues(track, signal, cadence(signal));
  return {
    speed: of('speedKph'),
    gear: of('gear'),
    parkingBrake: of('parkingBrake'),
    serviceBrake: of('serviceBrake'),
    ignition: of('ignition'),
    creeping: null,
  };
}

/** Longest stretch between a moving load and the movement that the wheel sensor sees, over which creeping is assumed, ms. */
const creepReachMs = 8000;

/**
 * Marks the rows whose speed of 0 is contradicted: forward or reverse gear, nothing holding the vehicle, and a load that
 * moves. The stretch is carried on to visible movement in the same gear close by.
 *
 * @param loadMoves 1 at rows at which the load moves faster than its noise
 */
export function markCreeping(track: Track, columns: MotionColumns, loadMoves: Uint8Array): MotionColumns {
  const { speed, gear } = columns;
  if (speed === null || gear === null) return columns;
  const times = track.timesMs;
  const creeping = new Uint8Array(track.length);
  const may = (row: number) => speed[row] === 0 && gear[row] !== 0 && !Number.isNaN(gear[row]) && !heldAt(columns, row);
  let row = 0;
  while (row < track.length) {
    if (!may(row)) {
      row += 1;
      continue;
    }
    let end = row;
    while (end < track.length && may(end) && Math.sign(gear[end]) === Math.sign(gear[row])) end += 1;
    let first = -1;
    let last = -1;
    for (let r = row; r < end; r++) {
      if (loadMoves[r] !== 1) continue;
      if (first < 0) first = r;
      last = r;
    }
    if (first >= 0) {
      if (end < track.length && speed[end] > 0 && times[end] - times[last] <= creepReachMs) last = end - 1;
      if (row > 0 && speed[row - 1] > 0 && times[first] - times[row - 1] <= creepReachMs) first = row;
      creeping.fill(1, first, last + 1);
    }
    row = end;
  }
  return { ...columns, creeping };
}

/** Whether something holds the vehicle at a row: parking brake, brake pedal, neutral, or the ignition off. */
export function heldAt(columns: MotionColumns, row: number): boolean {
  return (
    columns.parkingBrake?.[row] === 1 ||
    columns.serviceBrake?.[row] === 1 ||
    columns.gear?.[row] === 0 ||
    columns.ignition?.[row] === 0
  );
}

/** Splits a track into runs, in order and without gaps between them. Empty where speed was never reported. */
export function findRuns(track: Track, columns: MotionColumns, blindSpeedKph: number): Run[] {
  const { speed } = columns;
  if (speed === null || track.length === 0) return [];
  const kinds = rowKinds(track, columns);
  const runs: Run[] = [];
  let first = 0;
  for (let row = 1; row <= track.length; row++) {
    if (row < track.length && kinds[row] === kinds[first]) continue;
    runs.push(makeRun(track, columns, kinds[first], first, row - 1, blindSpeedKph));
    first = row;
  }
  return runs;
}

const codes = ['standing', 'forward', 'reverse', 'moving'] as const satisfies readonly RunKind[];
const standing = 0;
const forward = 1;
const reverse = 2;
const moving = 3;

/** One code a row. Direction is decided for a whole stretch of movement: gear lags by a sample or two. */
function rowKinds(track: Track, columns: MotionColumns): Uint8Array {
  const { gear } = columns;
  const kinds = new Uint8Array(track.length);
  let row = 0;
  while (row < track.length) {
    if (!movesAt(columns, row)) {
      kinds[row] = standing;
      row += 1;
      continue;
    }
    let end = row;
    while (end < track.length && movesAt(columns, end)) end += 1;
    markDirection(track, gear, kinds, row, end);
    row = end;
  }
  return kinds;
}

function movesAt(columns: MotionColumns, row: number): boolean {
  return columns.speed![row] > 0 || columns.creeping?.[row] === 1;
}

function markDirection(track: Track, gear: Float64Array | null, kinds: Uint8Array, from: number, to: number): void {
  if (gear === null) {
    kinds.fill(backsByPosition(track, from, to) ? reverse : moving, from, to);
    return;
  }
  // A stretch may hold both directions where a sample missed the standstill between them: split at the sign's change.
  let row = from;
  while (row < to) {
    const sign = signNear(gear, row, from, to);
    let end = row + 1;
    while (end < to && (!(gear[end] !== 0) || Number.isNaN(gear[end]) || Math.sign(gear[end]) === sign || sign === 0)) {
      if (sign === 0 && gear[end] !== 0 && !Number.isNaN(gear[end])) break;
      end += 1;
    }
    kinds.fill(sign > 0 ? forward : sign < 0 ? reverse : moving, row, end);
    row = end;
  }
}

/** Sign of the gear at a row of movement, else of the next one in the stretch that is engaged, else of the one before. */
function signNear(gear: Float64Array, row: number, from: number, to: number): number {
  for (let r = row; r < Math.min(to, row + 3); r++)
    if (gear[r] !== 0 && !Number.isNaN(gear[r])) return Math.sign(gear[r]);
  for (let r = row - 1; r >= from - 1 && r >= 0 && r >= row - 2; r--) {
    if (gear[r] !== 0 && !Number.isNaN(gear[r])) return Math.sign(gear[r]);
  }
  return 0;
}

/** Whether position moved against the compass heading by some metres: the only sign of reversing where no gear is reported. */
function backsByPosition(track: Track, from: number, to: number): boolean {
  const latitude = track.column('latitude');
  const longitude = track.column('longitude');
  const heading = track.column('headingDeg');
  if (latitude === null || longitude === null || heading === null) return false;
  let a = Math.max(0, from - 1);
  while (a < to && !(!Number.isNaN(latitude[a]) && !Number.isNaN(longitude[a]))) a += 1;
  let b = Math.min(track.length - 1, to);
  while (b > a && !(!Number.isNaN(latitude[b]) && !Number.isNaN(longitude[b]))) b -= 1;
  if (b <= a) return false;
  const north = (latitude[b] - latitude[a]) * 111_320;
  const east = (longitude[b] - longitude[a]) * 111_320 * Math.cos((latitude[a] * Math.PI) / 180);
  const distance = Math.hypot(north, east);
  if (distance < 6) return false;
  let along = 0;
  let seen = 0;
  for (let row = from; row < to; row++) {
    if (Number.isNaN(heading[row])) continue;
    const radians = (heading[row] * Math.PI) / 180;
    along += north * Math.cos(radians) + east * Math.sin(radians);
    seen += 1;
  }
  return seen > 0 && along / seen < -0.6 * distance;
}

function makeRun(
  track: Track,
  columns: MotionColumns,
  code: number,
  firstRow: number,
  lastRow: number,
  blindSpeedKph: number,
): Run {
  const times = track.timesMs;
  const kind = codes[code];
  const isStanding = code === standing;
  const edge = (before: number, after: number, standsBefore: boolean) => {
    const outer = times[before];
    const inner = times[after];
    if (standsBefore) {
      // Standing ends: held until its last zero, else it may have begun to roll up to a ramp before that, or creep in gear
      // below the blind speed since it was let go.
      const rolled = heldAt(columns, before) ? outer : Math.max(times[0], outer - rampMs);
      const crept = creptFrom(track, columns, before, after);
      const low = Math.min(rolled, crept, inner);
      return interval(low, inner, crept < rolled ? Math.min(crept + letGoMs, inner) : (outer + inner) / 2);
    }
    // Standing begins at the first zero at the latest, held or not; below the blind speed it may still roll for a ramp.
    const high = heldAt(columns, after) ? inner : Math.min(times[track.length - 1], inner + rampMs);
    return interval(outer, Math.max(high, inner), (outer + inner) / 2);
  };
  const start =
    firstRow === 0
      ? interval(times[0], times[0])
      : edge(firstRow - 1, firstRow, !isStanding && !movesAt(columns, firstRow - 1));
  const last = track.length - 1;
  const end = lastRow === last ? interval(times[last], times[last]) : edge(lastRow, lastRow + 1, isStanding);
  return { kind, start, end, metres: metresOf(track, columns, firstRow, lastRow, blindSpeedKph), firstRow, lastRow };
}

/** From letting the brakes go to moving, ms (common practice). */
const letGoMs = 1000;
/** Longest creep below the blind speed before the sensor sees it, ms. */
const longestCreepMs = 30_000;

/**
 * When the brakes were let go in the gear of the movement that follows: from then on the vehicle may have crept below the
 * blind speed. The movement's own first sample where no such stretch is seen, or a brake signal is missing.
 */
function creptFrom(track: Track, columns: MotionColumns, before: number, after: number): number {
  const { gear, parkingBrake, serviceBrake } = columns;
  const times = track.timesMs;
  if (gear === null || parkingBrake === null || serviceBrake === null) return times[after];
  const sign = Math.sign(gear[after]) || Math.sign(gear[before]);
  let row = before;
  if (Math.sign(gear[row]) !== sign || sign === 0 || parkingBrake[row] !== 0 || serviceBrake[row] !== 0)
    return times[after];
  while (
    row > 0 &&
    times[before] - times[row - 1] <= longestCreepMs &&
    Math.sign(gear[row - 1]) === sign &&
    parkingBrake[row - 1] === 0 &&
    serviceBrake[row - 1] === 0 &&
    columns.speed![row - 1] === 0
  ) {
    row -= 1;
  }
  return times[Math.max(0, row - 1)];
}

/** Metres covered from the row before `firstRow` to the row after `lastRow`. */
export function metresOf(
  track: Track,
  columns: MotionColumns,
  firstRow: number,
  lastRow: number,
  blindSpeedKph: number,
) {
  const times = track.timesMs;
  const speed = columns.speed!;
  let low = 0;
  let high = 0;
  let best = 0;
  const from = Math.max(0, firstRow - 1);
  const to = Math.min(track.length - 1, lastRow + 1);
  for (let row = from; row < to; row++) {
    const seconds = (times[row + 1] - times[row]) / 1000;
    const a = speed[row];
    const b = speed[row + 1];
    if (Number.isNaN(a) || Number.isNaN(b)) continue;
    if (a === 0 && b === 0) {
      if (!heldAt(columns, row) && !heldAt(columns, row + 1)) high += Math.min(seconds, 60) * blindSpeedKph * kphToMps;
      if (columns.creeping?.[row] === 1 && columns.creeping[row + 1] === 1)
        best += seconds * 0.6 * blindSpeedKph * kphToMps;
      continue;
    }
    low += seconds * Math.min(a, b) * kphToMps;
    best += (seconds * (a + b) * kphToMps) / 2;
    high += seconds * Math.max(a, b, blindSpeedKph) * kphToMps;
  }
  return interval(low, Math.max(low, high), best);
}
