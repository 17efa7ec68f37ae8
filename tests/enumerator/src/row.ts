/**
 * The rows that the enumerator walks, and what is given with them. A key that is absent is *not reported*. Times are ms
 * since the epoch; signals have the units of the analysis contract.
 *
 * The enumerator stands apart from the detector and its checks: it imports no code of theirs, only the names of signals.
 */
import { type SignalName, signalNames } from '@gearhold/signals';

export type Row = { readonly timeMs: number } & { readonly [signal in SignalName]?: number };

/** A row from the plain columns that readers and the simulator hand on: NaN = not reported. */
export function rowOf(timeMs: number, values: ArrayLike<number>, offset = 0): Row {
  const row: { timeMs: number } & { [signal in SignalName]?: number } = { timeMs };
  signalNames.forEach((name, i) => {
    const value = values[offset + i];
    if (!Number.isNaN(value)) row[name] = value;
  });
  return row;
}

/**
 * Rows that are samples. One that repeats every value of the row before while the vehicle moves is a stale copy. Whether
 * it moves is known from its speed; where the speed reads 0 or is not reported, nothing is thrown away.
 */
export function freshRows(rows: readonly Row[]): Row[] {
  return rows.filter((row, i) => i === 0 || !isStaleCopy(row, rows[i - 1]));
}

function isStaleCopy(row: Row, before: Row): boolean {
  if (!((row.speedKph ?? 0) > 0)) return false;
  return signalNames.every((name) => row[name] === before[name]);
}

export type SourceMode = 'periodic' | 'change-only';

/** What may be known of the truck. Everything but the first two is optional; left out, it is taken from the rows. */
export interface Known {
  /** Below this the speed reads 0, km/h; null = not known, taken as 4. */
  readonly blindSpeedKph: number | null;
  /** Accelerator reading with the foot off, %; null = not known, anything from 0 to 5. */
  readonly releasedPedalPct: number | null;
  /** Low idle, r/min: the lowest engine speed so far. */
  readonly idleRpm?: number;
  /** Standard deviation of the load signal at standstill, and its smallest step, in its own unit. */
  readonly loadNoise?: number;
  readonly loadStep?: number;
  /** Settled load signal of the tractor alone, as this sensor reads it. */
  readonly bobtail?: number;
  /** How the source sends: of all signals, or of one. */
  readonly mode?: SourceMode | Partial<Record<SignalName, SourceMode>>;
  /** A change-only source stays silent about smaller changes than this, in the signal's unit. */
  readonly silentBelow?: Partial<Record<SignalName, number>>;
  /** Pressure proves nothing: spring suspension. */
  readonly springSuspension?: boolean;
  /** A yard tractor that lifts the trailer itself. */
  readonly liftsTrailer?: boolean;
  /** Whether a lift axle may shift load onto the drive axles in reverse; left out, it may. */
  readonly liftAxle?: boolean;
  /** The site is marked as sloped. */
  readonly sloped?: boolean;
  /** Settled load signal under a full trailer, as the vehicles file states it; left out, nobody stated it. */
  readonly full?: number;
  /** The sites file: circles, and whether the ground in them bears a loaded trailer. */
  readonly sites?: readonly Ground[];
}

export interface Ground {
  readonly latitude: number;
  readonly longitude: number;
  readonly radiusM: number;
  readonly bears: boolean;
}

/** What a policy asks, as far as these checks are concerned. */
export interface Limits {
  readonly gearHoldPause: {
    readonly minSeconds: number;
    readonly dumpedPause: 'either' | 'before-pull';
    readonly underMetres: number;
    readonly clearMetres: number;
  };
  readonly backingAboveIdle: {
    readonly maxAcceleratorPct: number;
    readonly sustainedSeconds: number;
    readonly maxRpmAboveIdle: number;
  };
  readonly approachStop: { readonly minSeconds: number; readonly withinMetres: number };
  readonly tugTestCount: { readonly minCount: number; readonly withinSeconds: number };
  readonly backingSpeed: { readonly maxKph: number; readonly sustainedSeconds: number };
  readonly lampsWhileBacking: { readonly offSeconds: number };
  readonly departureInspection: { readonly minSeconds: number; readonly tripKph: number };
  readonly contactSpeed: { readonly maxKph: number };
  readonly couplingDwell: { readonly minSeconds: number };
  readonly repeatedAttempts: { readonly maxCount: number; readonly withinSeconds: number };
  readonly loadReturned: { readonly maxReturnedPct: number; readonly sustainedSeconds: number };
  readonly airbagsRestored: { readonly maxKph: number; readonly sustainedSeconds: number };
  readonly loadLostUnderWay: { readonly maxKph: number };
}

/** The built-in policy. */
export const builtInLimits: Limits = {
  gearHoldPause: { minSeconds: 30, dumpedPause: 'either', underMetres: 2, clearMetres: 3 },
  backingAboveIdle: { maxAcceleratorPct: 2, sustainedSeconds: 1, maxRpmAboveIdle: 150 },
  approachStop: { minSeconds: 10, withinMetres: 15 },
  tugTestCount: { minCount: 2, withinSeconds: 120 },
  backingSpeed: { maxKph: 8, sustainedSeconds: 1 },
  lampsWhileBacking: { offSeconds: 3 },
  departureInspection: { minSeconds: 300, tripKph: 50 },
  contactSpeed: { maxKph: 5 },
  couplingDwell: { minSeconds: 120 },
  repeatedAttempts: { maxCount: 2, withinSeconds: 240 },
  loadReturned: { maxReturnedPct: 40, sustainedSeconds: 2 },
  airbagsRestored: { maxKph: 8, sustainedSeconds: 2 },
  loadLostUnderWay: { maxKph: 15 },
};

/**
 * Which episode of the rows is meant: the part of the truth that the enumerator takes. It says where to look and what kind
 * of thing happened there; no bound is ever taken from it.
 */
export interface TrueAnchor {
  readonly kind: string;
  readonly startTime: number;
  readonly endTime: number;
  readonly loadTransferTime: number;
  readonly pressureBeforeKpa: number;
  readonly pressureAfterKpa: number;
  readonly dumped: boolean;
  readonly detectable?: boolean;
  /** Of which checks are asked of loaded trailers only. */
  readonly trailerLoad?: 'empty' | 'part' | 'loaded';
  readonly milestones: {
    readonly approachTime?: number | null;
    readonly seatedTime?: number | null;
    readonly departureTime?: number | null;
    readonly standTime?: number | null;
    readonly pullOutTime?: number | null;
    readonly releaseTime?: number | null;
  };
  readonly facts?: Readonly<Record<string, number | boolean | null>>;
}

export type Outcome = 'met' | 'missed' | 'undetermined' | 'not-applicable';

/** `null` = unbounded on that side. */
export interface Bounds {
  readonly low: number | null;
  readonly high: number | null;
  readonly outcome: Outcome;
}

/** Nothing is known, whatever the rows say. */
export const unknownBounds: Bounds = { low: null, high: null, outcome: 'undetermined' };

/** `met` needs the whole range at or above the limit, `missed` the whole range below it. */
export function atLeast(limit: number, low: number, high: number | null): Bounds {
  const outcome = low >= limit ? 'met' : high !== null && high < limit ? 'missed' : 'undetermined';
  return { low, high, outcome };
}

/** `met` needs the whole range at or below the limit, `missed` the whole range above it. */
export function atMost(limit: number, low: number, high: number | null): Bounds {
  const outcome = low > limit ? 'missed' : high !== null && high <= limit ? 'met' : 'undetermined';
  return { low, high, outcome };
}
