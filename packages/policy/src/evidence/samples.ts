/**
 * Samples of one signal within an episode's evidence, as the contract lets them count.
 *
 * A row that repeats every value of the row before while the vehicle moves is a stale copy, not a sample. A periodic signal
 * has a sample where it was reported and nowhere else. A change-only signal has one at every row over which its value
 * stands, and one just before each change: its silence says that nothing changed. Times in ms since the epoch, strictly
 * increasing; values in the signal's unit.
 */
import { changeOnlySilenceMs, type Evidence, standsForMs, type Track } from '@gearhold/episodes';
import { type SignalName, signalIndex, signalNames } from '@gearhold/signals';

export interface Samples {
  readonly times: readonly number[];
  readonly values: readonly number[];
  /** Row of the track that shows the sample. */
  readonly rows: readonly number[];
  readonly changeOnly: boolean;
  /** Longest gap between two samples over which the source shows no change against the driver, ms. */
  readonly proofGapMs: number;
  /** Longest gap over which the first of two samples still stands when the second arrives, ms. */
  readonly standsMs: number;
  /** Change below which the source stays silent, in the signal's unit; 0 for a periodic one. */
  readonly silentBelow: number;
}

/** Longest gap of a periodic source that shows no change where that could prove `missed`, ms (contract). */
const longestProofGapMs = 1500;
/** A gap of more than this many usual intervals has lost a sample: what it hid is not shown unchanged. */
const intervalsWithoutLoss = 1.5;

/** Silent change of a source whose own changes are too few to tell, in the signal's unit (assumed). */
const assumedSilentBelow: Partial<Record<SignalName, number>> = {
  speedKph: 1,
  acceleratorPct: 1,
  engineRpm: 25,
  torquePct: 2,
  suspensionKpa: 5,
  axleLoadKg: 200,
  rideHeightMm: 5,
};

const none: Samples = {
  times: [],
  values: [],
  rows: [],
  changeOnly: false,
  proofGapMs: 0,
  standsMs: 0,
  silentBelow: 0,
};

/** What was collected of one evidence, by place in the catalogue. */
type Collected = (Samples | undefined)[];

const kept = new WeakMap<Evidence, Collected>();
/** The checks of an episode ask thousands of times in a row: what they ask of is found without a look-up. */
let latest: { readonly evidence: Evidence; readonly collected: Collected } | null = null;

/** Samples of one signal; empty where it was never reported. The same object for the same evidence. */
export function samplesOf(evidence: Evidence, signal: SignalName): Samples {
  const collected = latest?.evidence === evidence ? latest.collected : collectedOf(evidence);
  const s = signalIndex[signal];
  collected[s] ??= collect(evidence, signal);
  return collected[s];
}

function collectedOf(evidence: Evidence): Collected {
  let collected = kept.get(evidence);
  if (collected === undefined) {
    collected = new Array(signalNames.length).fill(undefined);
    kept.set(evidence, collected);
  }
  latest = { evidence, collected };
  return collected;
}

/** Place of the first sample after `timeMs`; `times.length` where there is none. */
export function firstAfter({ times }: Samples, timeMs: number): number {
  let low = 0;
  let high = times.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (times[middle]! <= timeMs) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** Place of the first sample at or after `timeMs`; `times.length` where there is none. */
export function firstAtOrAfter(samples: Samples, timeMs: number): number {
  const last = lastAtOrBefore(samples, timeMs);
  return last >= 0 && samples.times[last] === timeMs ? last : last + 1;
}

/** Place of the last sample at or before `timeMs`; -1 where there is none. */
export function lastAtOrBefore(samples: Samples, timeMs: number): number {
  return firstAfter(samples, timeMs) - 1;
}

/** What stands at an instant; NaN where nothing does. */
export function valueAt(samples: Samples, timeMs: number): number {
  const i = lastAtOrBefore(samples, timeMs);
  return i >= 0 && timeMs - samples.times[i]! <= samples.standsMs ? samples.values[i]! : Number.NaN;
}

/** 1 for a row that is a stale copy of the row before. */
function staleRows(track: Track): Uint8Array {
  const stale = new Uint8Array(track.length);
  const columns = signalNames.map((name) => track.column(name)).filter((column) => column !== null);
  const speed = track.column('speedKph');
  if (speed === null) return stale;
  let lastSpeed = Number.NaN;
  for (let row = 0; row < track.length; row++) {
    if (!Number.isNaN(speed[row]!)) lastSpeed = speed[row]!;
    if (row > 0 && lastSpeed > 0 && repeats(columns, row)) stale[row] = 1;
  }
  return stale;
}

function repeats(columns: readonly Float64Array[], row: number): boolean {
  let reported = false;
  for (const column of columns) {
    if (!Object.is(column[row], column[row - 1])) return false;
    if (!Number.isNaN(column[row]!)) reported = true;
  }
  return reported;
}

const staleByTrack = new WeakMap<Track, Uint8Array>();

function collect(evidence: Evidence, signal: SignalName): Samples {
  const { track } = evidence;
  const column = track.column(signal);
  if (column === null) return none;
  let stale = staleByTrack.get(track);
  if (stale === undefined) {
    stale = staleRows(track);
    staleByTrack.set(track, stale);
  }
  const reports: number[] = [];
  for (let row = 0; row < track.length; row++) if (!Number.isNaN(column[row]!) && stale[row] === 0) reports.push(row);
  if (reports.length === 0) return none;
  const { mode, usualMs } = evidence.cadence(signal);
  if (mode === 'change-only') return carried(track, column, stale, reports, signal);
  // Of a source not yet known the least is believed: 1 Hz, the slowest that proves anything.
  const known = { mode, usualMs: mode === 'periodic' && usualMs > 0 ? usualMs : 1000 };
  const { timesMs } = track;
  return {
    times: reports.map((row) => timesMs[row]!),
    values: reports.map((row) => column[row]!),
    rows: reports,
    changeOnly: false,
    proofGapMs: Math.min(longestProofGapMs, intervalsWithoutLoss * known.usualMs),
    standsMs: standsForMs(known),
    silentBelow: 0,
  };
}

function carried(
  track: Track,
  column: Float64Array,
  stale: Uint8Array,
  reports: readonly number[],
  signal: SignalName,
): Samples {
  const times: number[] = [];
  const values: number[] = [];
  const rows: number[] = [];
  const latencyMs = reportLatencyMs(track, reports);
  let value = Number.NaN;
  for (let row = 0; row < track.length; row++) {
    const time = track.timesMs[row]!;
    const before = row > 0 ? track.timesMs[row - 1]! : Number.NEGATIVE_INFINITY;
    if (time - before > changeOnlySilenceMs) value = Number.NaN;
    if (stale[row] === 1) continue;
    const reported = column[row]!;
    const changes = !Number.isNaN(reported) && reported !== value;
    if (changes && !Number.isNaN(value) && time - latencyMs > (times.at(-1) ?? before)) {
      times.push(time - latencyMs);
      values.push(value);
      rows.push(row - 1);
    }
    if (changes) value = reported;
    if (Number.isNaN(value)) continue;
    times.push(time);
    values.push(value);
    rows.push(row);
  }
  return {
    times,
    values,
    rows,
    changeOnly: true,
    proofGapMs: changeOnlySilenceMs,
    standsMs: changeOnlySilenceMs,
    silentBelow: silentChange(column, reports, signal),
  };
}

/**
 * How late a change may be reported, ms: the source looks at its value at intervals that no row states, but never
 * reports faster than it looks. Infinite where the reports are too few to tell.
 */
function reportLatencyMs(track: Track, reports: readonly number[]): number {
  const gaps: number[] = [];
  for (let i = 1; i < reports.length; i++) gaps.push(track.timesMs[reports[i]!]! - track.timesMs[reports[i - 1]!]!);
  return gaps.length < 2 ? Number.POSITIVE_INFINITY : 1.5 * lowFifth(gaps);
}

/** Every change that the source reported is at least its threshold; the odd heartbeat may show a smaller one. */
function silentChange(column: Float64Array, reports: readonly number[], signal: SignalName): number {
  const changes: number[] = [];
  for (let i = 1; i < reports.length; i++) {
    const change = Math.abs(column[reports[i]!]! - column[reports[i - 1]!]!);
    if (change > 0) changes.push(change);
  }
  const assumed = assumedSilentBelow[signal] ?? 0;
  return changes.length < 3 ? assumed : lowFifth(changes);
}

function lowFifth(numbers: number[]): number {
  numbers.sort((a, b) => a - b);
  return numbers[Math.floor(numbers.length / 5)]!;
}
