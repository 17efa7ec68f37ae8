/**
 * The rows that an episode rests on, and what was known of the truck when it closed. Everything that a check needs is
 * here; nothing here looks beyond the rows up to the closing of the episode.
 */
import type { SignalName } from '@gearhold/signals';
import type { Interval } from './bounds/interval.ts';

/** How a source sends a signal, learned from the rows. */
export interface Cadence {
  readonly mode: 'periodic' | 'change-only' | 'unknown';
  /** Usual interval between reports, ms; for a change-only signal that of the vehicle's rows. */
  readonly usualMs: number;
}

/** Rows of one vehicle in strictly increasing time, column by column. NaN = not reported in that row. */
export interface Track {
  readonly length: number;
  /** ms since the epoch. */
  readonly timesMs: Float64Array;
  /** Values of one signal, one a row, or null where the vehicle never reported it in these rows. */
  column(signal: SignalName): Float64Array | null;
}

export type RunKind = 'standing' | 'forward' | 'reverse' | 'moving';

/** A stretch of one kind of motion. `moving` is movement whose direction no signal shows. */
export interface Run {
  readonly kind: RunKind;
  /** When it began and ended, ms, as intervals. */
  readonly start: Interval;
  readonly end: Interval;
  /** Metres covered within it. */
  readonly metres: Interval;
  /** First and last row (inclusive) of the track that show it. */
  readonly firstRow: number;
  readonly lastRow: number;
}

/** What was learned of a truck up to now; null = not yet. */
export interface Learned {
  readonly bobtail: number | null;
  readonly empty: number | null;
  readonly loaded: number | null;
  /** Robust standard deviation of the load signal at standstill, in its unit. */
  readonly noise: number;
  /** Smallest step of the load signal, in its unit. */
  readonly step: number;
  /** Below this the speed reads 0, km/h. */
  readonly blindSpeedKph: number;
  /** Reading of the released accelerator, %. */
  readonly releasedPedalPct: number | null;
  /** Low idle, r/min. */
  readonly idleRpm: number | null;
}

export interface Evidence {
  readonly track: Track;
  readonly runs: readonly Run[];
  readonly learned: Learned;
  readonly cadence: (signal: SignalName) => Cadence;
}
