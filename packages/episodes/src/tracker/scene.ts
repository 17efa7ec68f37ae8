/**
 * One look at the rows of a vehicle since its load was last settled: the track, its motion and its load, and what is known
 * of the truck at that moment. Everything that decides about an episode reads from here and nothing else.
 */
import type { SignalName } from '@gearhold/signals';
import type { Cadence, Run, Track } from '../evidence.ts';
import type { KnownLevels } from '../learned/level-memory.ts';
import { LoadSeries } from '../load/series.ts';
import { type Tolerance, tolerance } from '../load/tolerance.ts';
import { joinMoves, type Move } from '../motion/moves.ts';
import { findRuns, type MotionColumns, markCreeping, motionColumns } from '../motion/runs.ts';
import type { Vehicle } from '../vehicle.ts';

export type LoadSignal = 'suspensionKpa' | 'axleLoadKg';

export interface Scene {
  readonly track: Track;
  readonly columns: MotionColumns;
  readonly runs: readonly Run[];
  readonly moves: readonly Move[];
  readonly series: LoadSeries;
  readonly signal: LoadSignal;
  readonly tolerance: Tolerance;
  readonly noise: number;
  readonly levels: KnownLevels;
  readonly vehicle: Vehicle | null;
  readonly cadence: (signal: SignalName) => Cadence;
  /** Usual interval of the load signal, ms. */
  readonly loadIntervalMs: number;
  /** Whether any row of the scene reports a gear: else no run has a sure direction. */
  readonly gearReported: boolean;
}

export interface SceneInputs {
  readonly track: Track;
  readonly signal: LoadSignal;
  readonly cadence: (signal: SignalName) => Cadence;
  readonly noise: number;
  readonly step: number;
  readonly blindSpeedKph: number;
  readonly levels: KnownLevels;
  readonly vehicle: Vehicle | null;
}

export function setScene(inputs: SceneInputs): Scene {
  const { track, signal, cadence } = inputs;
  const series = new LoadSeries(track, signal, cadence(signal));
  const limits = tolerance(signal, inputs.noise, inputs.step);
  const columns = markCreeping(track, motionColumns(track, cadence), movingRows(track.length, series, limits.sample));
  const runs = findRuns(track, columns, inputs.blindSpeedKph);
  return {
    track,
    columns,
    runs,
    moves: joinMoves(runs),
    series,
    signal,
    tolerance: limits,
    noise: inputs.noise,
    levels: inputs.levels,
    vehicle: inputs.vehicle,
    cadence,
    loadIntervalMs: Math.max(200, cadence(signal).usualMs),
    gearReported: track.column('gear')?.some((g) => g !== 0 && !Number.isNaN(g)) ?? false,
  };
}

/** Rows at which the load moves faster than its noise: between neighbouring samples no further than some seconds apart. */
function movingRows(length: number, series: LoadSeries, limit: number): Uint8Array {
  const rows = new Uint8Array(length);
  for (let i = 1; i < series.length; i++) {
    if (series.times[i] - series.times[i - 1] > 12_000) continue;
    if (Math.abs(series.smooth[i] - series.smooth[i - 1]) > limit) rows.fill(1, series.rows[i - 1], series.rows[i] + 1);
  }
  return rows;
}
