/**
 * One look at the rows of a vehicle since its load was last settled: the track, its motion and its load, and what is known
 * of the truck at that moment. Everything that decides about an episode reads from here and nothing else.
 */
import type { SignalName } from '@gearhold/signals';
import type { Cadence, Run, Track } from '../evidence.ts';
import type { KnownLevels } from '../learned/level-memory.ts';
import { LoadSeries } from '../load/series.ts';
import type { Springs } from '../load/springs.ts';
import { type Tolerance, tolerance } from '../load/tolerance.ts';
import { joinMoves, type Move } from '../motion/moves.ts';
import { findRuns, type MotionColumns, markCreeping, motionColumns } from '../motion/runs.ts';
import type { Vehicle } from '../vehicle.ts';

export type LoadSignal = 'suspensionKpa' | 'axleLoadKg';

export interface SceneInputs {
  readonly track: Track;
  readonly signal: LoadSignal;
  readonly cadence: (signal: SignalName) => Cadence;
  readonly noise: number;
  readonly step: number;
  readonly blindSpeedKph: number;
  readonly levels: KnownLevels;
  readonly springs: Springs;
  readonly vehicle: Vehicle | null;
}

/**
 * Load and motion are worked out when they are first asked for, since most looks only find that they have to wait: the
 * rows of the track must stay as they are for as long as the scene is in use.
 */
export class Scene {
  readonly track: Track;
  readonly signal: LoadSignal;
  readonly tolerance: Tolerance;
  readonly noise: number;
  readonly levels: KnownLevels;
  readonly springs: Springs;
  readonly vehicle: Vehicle | null;
  readonly cadence: (signal: SignalName) => Cadence;
  /** Usual interval of the load signal, ms. */
  readonly loadIntervalMs: number;
  readonly #blindSpeedKph: number;
  #series: LoadSeries | null = null;
  #columns: MotionColumns | null = null;
  #runs: readonly Run[] | null = null;
  #moves: readonly Move[] | null = null;
  #gearReported: boolean | null = null;

  readonly #inputs: SceneInputs;

  constructor(inputs: SceneInputs) {
    this.#inputs = inputs;
    this.track = inputs.track;
    this.signal = inputs.signal;
    this.tolerance = tolerance(inputs.signal, inputs.noise, inputs.step, inputs.springs.unsprung);
    this.noise = inputs.noise;
    this.levels = inputs.levels;
    this.springs = inputs.springs;
    this.vehicle = inputs.vehicle;
    this.cadence = inputs.cadence;
    this.loadIntervalMs = Math.max(200, inputs.cadence(inputs.signal).usualMs);
    this.#blindSpeedKph = inputs.blindSpeedKph;
  }

  /** The same rows seen with no level known. */
  withoutLevels(): Scene {
    const scene = new Scene({ ...this.#inputs, levels: { bobtail: null, empty: null, loaded: null } });
    scene.#series = this.#series;
    scene.#columns = this.#columns;
    scene.#runs = this.#runs;
    scene.#moves = this.#moves;
    return scene;
  }

  /** What of a level the springs carry: shares are taken of this. */
  sprung(level: number): number {
    return level - this.springs.unsprung;
  }

  get series(): LoadSeries {
    this.#series ??= new LoadSeries(this.track, this.signal, this.cadence(this.signal));
    return this.#series;
  }

  get columns(): MotionColumns {
    const { track, series, tolerance: limits } = this;
    this.#columns ??= markCreeping(
      track,
      motionColumns(track, this.cadence),
      movingRows(track.length, series, limits.sample),
    );
    return this.#columns;
  }

  get runs(): readonly Run[] {
    this.#runs ??= findRuns(this.track, this.columns, this.#blindSpeedKph);
    return this.#runs;
  }

  get moves(): readonly Move[] {
    this.#moves ??= joinMoves(this.runs);
    return this.#moves;
  }

  /** Whether any row of the scene reports a gear: else no run has a sure direction. */
  get gearReported(): boolean {
    this.#gearReported ??= this.track.column('gear')?.some((g) => g !== 0 && !Number.isNaN(g)) ?? false;
    return this.#gearReported;
  }
}

/** Rows at which the load moves faster than its noise: between neighbouring samples no further than some seconds apart. */
function movingRows(length: number, series: LoadSeries, limit: number): Uint8Array {
  const rows = new Uint8Array(length);
  for (let i = 1; i < series.length; i++) {
    if (series.times[i] - series.times[i - 1] > 12_000) continue;
    if (Math.abs(series.smooth[i] - series.smooth[i - 1]) > limit)
      rows.fill(1, series.rowOf(i - 1), series.rowOf(i) + 1);
  }
  return rows;
}
