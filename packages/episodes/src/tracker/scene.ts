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
import { findRuns, type MotionColumns, motionColumns } from '../motion/runs.ts';
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
  const columns = motionColumns(track, cadence);
  const runs = findRuns(track, columns, inputs.blindSpeedKph);
  return {
    track,
    columns,
    runs,
    moves: joinMoves(runs),
    series: new LoadSeries(track, signal),
    signal,
    tolerance: tolerance(signal, inputs.noise, inputs.step),
    noise: inputs.noise,
    levels: inputs.levels,
    vehicle: inputs.vehicle,
    cadence,
    loadIntervalMs: Math.max(200, cadence(signal).usualMs),
    gearReported: track.column('gear')?.some((g) => g !== 0 && !Number.isNaN(g)) ?? false,
  };
}
