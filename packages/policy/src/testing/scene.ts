/**
 * Small evidence built by hand, for tests: rows as plain objects, runs and milestones worked out by the simplest rules that
 * give honest intervals. Times in s from a fixed day; the same rows always give the same episode.
 */
import {
  type Cadence,
  type Coupling,
  type Evidence,
  type Interval,
  interval,
  type Learned,
  type Run,
  type RunKind,
  type Track,
  type Uncoupling,
} from '@gearhold/episodes';
import type { SignalName } from '@gearhold/signals';

export type Row = { readonly t: number } & { readonly [S in SignalName]?: number };

/** 2026-03-02T06:00:00Z. */
const dayMs = 1_772_431_200_000;

export const at = (t: number): number => dayMs + t * 1000;

export interface SceneOptions {
  readonly cadence?: Partial<Cadence> | undefined;
  readonly learned?: Partial<Learned> | undefined;
}

const learnedByDefault: Learned = {
  bobtail: 60,
  empty: 160,
  loaded: 430,
  noise: 1,
  step: 0.5,
  blindSpeedKph: 2,
  releasedPedalPct: 0,
  idleRpm: 650,
};

/** Rows at a fixed interval from `from` to `to` (s, inclusive), each filled by `fill`. */
export function rowsEvery(seconds: number, from: number, to: number, fill: (t: number) => Omit<Row, 't'>): Row[] {
  const rows: Row[] = [];
  const count = Math.floor((to - from) / seconds + 1e-9);
  for (let i = 0; i <= count; i++) {
    const t = Math.round((from + i * seconds) * 1000) / 1000;
    rows.push({ t, ...fill(t) });
  }
  return rows;
}

export function evidenceOf(rows: readonly Row[], options: SceneOptions = {}): Evidence {
  const timesMs = Float64Array.from(rows, (row) => at(row.t));
  const columns = new Map<SignalName, Float64Array>();
  for (const [index, row] of rows.entries()) {
    for (const [name, value] of Object.entries(row)) {
      if (name === 't' || value === undefined) continue;
      const signal = name as SignalName;
      let column = columns.get(signal);
      if (column === undefined) {
        column = new Float64Array(rows.length).fill(Number.NaN);
        columns.set(signal, column);
      }
      column[index] = value;
    }
  }
  const track: Track = { length: rows.length, timesMs, column: (signal) => columns.get(signal) ?? null };
  const cadence: Cadence = { mode: 'periodic', usualMs: 1000, ...options.cadence };
  return {
    track,
    runs: runsOf(rows),
    learned: { ...learnedByDefault, ...options.learned },
    cadence: () => cadence,
  };
}

/** Runs of one kind, by speed and the sign of the gear; edges between the rows around them. */
function runsOf(rows: readonly Row[]): Run[] {
  let speed = 0;
  let gear = Number.NaN;
  const kinds: RunKind[] = rows.map((row) => {
    speed = row.speedKph ?? speed;
    gear = row.gear ?? gear;
    if (speed === 0) return 'standing';
    return gear < 0 ? 'reverse' : gear > 0 ? 'forward' : 'moving';
  });
  const runs: Run[] = [];
  for (let first = 0; first < rows.length; ) {
    let last = first;
    while (last + 1 < rows.length && kinds[last + 1] === kinds[first]) last += 1;
    const start = interval(at(rows[Math.max(0, first - 1)]!.t), at(rows[first]!.t));
    const end = interval(at(rows[last]!.t), at(rows[Math.min(rows.length - 1, last + 1)]!.t));
    runs.push({ kind: kinds[first]!, start, end, metres: interval(0, 1000), firstRow: first, lastRow: last });
    first = last + 1;
  }
  return runs;
}

/** The interval between the last row before `t` and the first at or after it, by the rows that report `signal`. */
export function around(rows: readonly Row[], signal: SignalName, t: number): Interval {
  const reporting = rows.filter((row) => row[signal] !== undefined);
  const before = reporting.filter((row) => row.t < t).at(-1);
  const after = reporting.find((row) => row.t >= t);
  return interval(at(before?.t ?? t), at(after?.t ?? t), at(t));
}

export interface UncouplingTimes {
  readonly stand?: number;
  readonly dump?: number;
  readonly pull: number;
  readonly release: number;
  readonly transfer: number;
  readonly clear?: number;
}

/** An uncoupling whose true times are known; each milestone is as wide as the rows around it. */
export function uncouplingOf(
  rows: readonly Row[],
  times: UncouplingTimes,
  changes: Partial<Uncoupling> = {},
  options: SceneOptions = {},
): Uncoupling {
  const speed = (t: number | undefined) => (t === undefined ? null : around(rows, 'speedKph', t));
  const load = (t: number | undefined) => (t === undefined ? null : around(rows, 'suspensionKpa', t));
  return {
    kind: 'uncoupling',
    vehicleId: 'T-1',
    driverId: 'D-1',
    driverBasis: 'reported',
    startTime: at(times.stand ?? rows[0]!.t),
    loadTransferTime: load(times.transfer)!,
    endTime: at(times.clear ?? rows.at(-1)!.t),
    closed: times.clear !== undefined,
    position: null,
    loadSignal: 'suspensionKpa',
    levelBefore: 160,
    levelAfter: 60,
    trailerLoad: 'empty',
    suspensionDumped: times.dump !== undefined,
    confidence: 0.99,
    evidence: evidenceOf(rows, options),
    milestones: {
      standTime: speed(times.stand),
      dumpTime: load(times.dump),
      pullOutTime: speed(times.pull),
      releaseTime: load(times.release),
      holdStartTime: null,
      holdEndTime: null,
      clearTime: speed(times.clear),
    },
    ...changes,
  };
}

export interface CouplingTimes {
  readonly approach: number;
  readonly contact: number;
  readonly transfer: number;
  readonly seated?: number;
  readonly tugs?: readonly number[];
  readonly departure?: number;
}

/** A coupling whose true times are known; each milestone is as wide as the rows around it. */
export function couplingOf(
  rows: readonly Row[],
  times: CouplingTimes,
  changes: Partial<Coupling> = {},
  options: SceneOptions = {},
): Coupling {
  const speed = (t: number | undefined) => (t === undefined ? null : around(rows, 'speedKph', t));
  return {
    kind: 'coupling',
    vehicleId: 'T-1',
    driverId: 'D-1',
    driverBasis: 'reported',
    startTime: at(times.approach),
    loadTransferTime: around(rows, 'suspensionKpa', times.transfer),
    endTime: at(times.departure ?? rows.at(-1)!.t),
    closed: times.departure !== undefined,
    position: null,
    loadSignal: 'suspensionKpa',
    levelBefore: 60,
    levelAfter: 160,
    trailerLoad: 'empty',
    suspensionDumped: false,
    confidence: 0.99,
    evidence: evidenceOf(rows, options),
    milestones: {
      approachTime: speed(times.approach),
      contactTime: around(rows, 'suspensionKpa', times.contact),
      seatedTime: speed(times.seated),
      tugTestTimes: (times.tugs ?? []).map((t) => around(rows, 'speedKph', t)),
      departureTime: speed(times.departure),
    },
    ...changes,
  };
}
