/**
 * How a source sends each signal: at regular intervals, or only what changed. Learned from the rows of one vehicle, and
 * only from rows already seen.
 *
 * Three marks tell them apart. A periodic signal repeats its value in rows in which others change, or at short regular
 * intervals; a change-only signal never does, except in heartbeats, which repeat everything. And a change-only signal is
 * absent from many of the vehicle's rows.
 */
import { type SignalName, signalCount, signalIndex, signalNames } from '@gearhold/signals';
import { z } from 'zod';
import type { Cadence } from '../evidence.ts';
import { fromJsonNumber, jsonNumber, ringFromJson, ringToJson, toJsonNumber } from '../state/json-number.ts';
import { selectInPlace } from '../statistics/robust.ts';

const ringSize = 31;
/** Every row is looked at until this many; then blocks, so that the row path stays lean. */
const denseRows = 512;
const blockMask = 1023;
const blockRows = 96;
/** A repeat within this time is the beat of a periodic source, not a heartbeat. */
const shortRepeatMs = 15_000;

const count = z.number().int().min(0);

export const cadenceState = z.strictObject({
  rows: count,
  observed: count,
  inBlock: z.boolean(),
  /** Signals that were ever reported, by name. */
  signals: z.partialRecord(
    z.enum(signalNames),
    z.strictObject({
      reports: count,
      repeats: count,
      firstObserved: count,
      lastValue: jsonNumber,
      lastTime: jsonNumber,
      /** Last intervals between reports, oldest first; null before the second. */
      intervals: z.array(jsonNumber).max(ringSize).nullable(),
    }),
  ),
  /** Last intervals between rows, oldest first. */
  rowIntervals: z.array(jsonNumber).max(ringSize),
  lastRowTime: jsonNumber,
  /** The cadences last handed out, with the row at which they were worked out. */
  kept: z
    .strictObject({
      at: count,
      cadences: z.partialRecord(
        z.enum(signalNames),
        z.strictObject({ mode: z.enum(['periodic', 'change-only', 'unknown']), usualMs: z.number() }),
      ),
    })
    .nullable(),
});
export type CadenceState = z.infer<typeof cadenceState>;

export class CadenceLearner {
  #rows = 0;
  #observed = 0;
  #inBlock = false;
  readonly #reports = new Int32Array(signalCount);
  readonly #repeats = new Int32Array(signalCount);
  readonly #firstObserved = new Int32Array(signalCount).fill(-1);
  readonly #lastValue = new Float64Array(signalCount).fill(Number.NaN);
  readonly #lastTime = new Float64Array(signalCount).fill(Number.NaN);
  readonly #rings: (Float64Array | null)[] = new Array(signalCount).fill(null);
  readonly #ringCount = new Int32Array(signalCount);
  readonly #rowRing = new Float64Array(ringSize);
  #rowRingCount = 0;
  #lastRowTime = Number.NaN;
  #kept: ((signal: SignalName) => Cadence) | null = null;
  #keptAt = 0;

  /** The learner that {@link CadenceLearner.state} was taken of. */
  static resume(state: CadenceState): CadenceLearner {
    const learner = new CadenceLearner();
    learner.#rows = state.rows;
    learner.#observed = state.observed;
    learner.#inBlock = state.inBlock;
    for (const [s, name] of signalNames.entries()) {
      const signal = state.signals[name];
      if (signal === undefined) continue;
      learner.#reports[s] = signal.reports;
      learner.#repeats[s] = signal.repeats;
      learner.#firstObserved[s] = signal.firstObserved;
      learner.#lastValue[s] = fromJsonNumber(signal.lastValue);
      learner.#lastTime[s] = fromJsonNumber(signal.lastTime);
      if (signal.intervals === null) continue;
      const ring = new Float64Array(ringSize);
      ringFromJson(ring, signal.intervals);
      learner.#rings[s] = ring;
      learner.#ringCount[s] = signal.intervals.length;
    }
    ringFromJson(learner.#rowRing, state.rowIntervals);
    learner.#rowRingCount = state.rowIntervals.length;
    learner.#lastRowTime = fromJsonNumber(state.lastRowTime);
    if (state.kept !== null) {
      const { at, cadences } = state.kept;
      learner.#keptAt = at;
      learner.#kept = (signal) => cadences[signal] ?? { mode: 'unknown', usualMs: learner.rowIntervalMs() };
    }
    return learner;
  }

  state(): CadenceState {
    const signals: CadenceState['signals'] = {};
    const cadences: NonNullable<CadenceState['kept']>['cadences'] = {};
    for (const [s, name] of signalNames.entries()) {
      if (this.#kept !== null) cadences[name] = this.#kept(name);
      if (this.#firstObserved[s] < 0) continue;
      const ring = this.#rings[s];
      signals[name] = {
        reports: this.#reports[s],
        repeats: this.#repeats[s],
        firstObserved: this.#firstObserved[s],
        lastValue: toJsonNumber(this.#lastValue[s]),
        lastTime: toJsonNumber(this.#lastTime[s]),
        intervals: ring === null ? null : ringToJson(ring, this.#ringCount[s]),
      };
    }
    return {
      rows: this.#rows,
      observed: this.#observed,
      inBlock: this.#inBlock,
      signals,
      rowIntervals: ringToJson(this.#rowRing, this.#rowRingCount),
      lastRowTime: toJsonNumber(this.#lastRowTime),
      kept: this.#kept === null ? null : { at: this.#keptAt, cadences },
    };
  }

  /** Takes note of one row; times strictly increase. */
  observe(timeMs: number, values: Float64Array, offset: number): void {
    const inBlock = this.#rows < denseRows || (this.#rows & blockMask) < blockRows;
    this.#rows += 1;
    if (!inBlock) {
      this.#inBlock = false;
      return;
    }
    if (!this.#inBlock) {
      this.#lastTime.fill(Number.NaN);
      this.#lastRowTime = Number.NaN;
      this.#inBlock = true;
    }
    const row = this.#observed++;
    if (!Number.isNaN(this.#lastRowTime)) this.#rowRing[this.#rowRingCount++ % ringSize] = timeMs - this.#lastRowTime;
    this.#lastRowTime = timeMs;
    let changes = false;
    for (let s = 0; s < signalCount; s++) {
      const value = values[offset + s];
      if (!Number.isNaN(value) && value !== this.#lastValue[s]) {
        changes = true;
        break;
      }
    }
    for (let s = 0; s < signalCount; s++) {
      const value = values[offset + s];
      if (Number.isNaN(value)) continue;
      if (this.#firstObserved[s] < 0) this.#firstObserved[s] = row;
      this.#reports[s] += 1;
      const sinceLast = timeMs - this.#lastTime[s];
      if (!Number.isNaN(sinceLast)) {
        let ring = this.#rings[s];
        if (ring === null) {
          ring = new Float64Array(ringSize);
          this.#rings[s] = ring;
        }
        ring[this.#ringCount[s]++ % ringSize] = sinceLast;
        if (value === this.#lastValue[s] && (changes || sinceLast <= shortRepeatMs)) this.#repeats[s] += 1;
      }
      this.#lastValue[s] = value;
      this.#lastTime[s] = timeMs;
    }
  }

  /** What comes next does not follow on what came: the time between is no interval of the source. */
  pause(): void {
    this.#inBlock = false;
  }

  /** What is known of a signal's cadence now. */
  of(signal: SignalName): Cadence {
    return this.#of(signalIndex[signal], this.rowIntervalMs());
  }

  #of(s: number, rowIntervalMs: number): Cadence {
    const ring = this.#rings[s];
    const count = Math.min(ringSize, this.#ringCount[s]);
    if (ring === null || count < 3) return { mode: 'unknown', usualMs: rowIntervalMs };
    const intervals = ring.slice(0, count).sort();
    const usualMs = intervals[count >> 1];
    const repeatShare = this.#repeats[s] / this.#reports[s];
    const presence = this.#reports[s] / (this.#observed - this.#firstObserved[s]);
    let regular = 0;
    let total = 0;
    for (const interval of intervals) {
      total += interval;
      if (interval >= 0.5 * usualMs && interval <= 1.6 * usualMs) regular += interval;
    }
    const isRegular = usualMs <= shortRepeatMs && regular >= 0.8 * total;
    if (repeatShare >= 0.1 || isRegular || presence >= 0.7) return { mode: 'periodic', usualMs };
    return { mode: 'change-only', usualMs: rowIntervalMs };
  }

  /** Usual interval between the vehicle's rows, ms; 1000 until known. */
  rowIntervalMs(): number {
    const count = Math.min(ringSize, this.#rowRingCount);
    if (count === 0) return 1000;
    return selectInPlace(this.#rowRing.slice(0, count), count >> 1);
  }

  /** Cadence of every signal as it is known now, for an episode to keep. Worked out anew once enough rows more were seen. */
  snapshot(): (signal: SignalName) => Cadence {
    const wanted = this.#observed < denseRows ? 16 : 64;
    if (this.#kept === null || this.#observed - this.#keptAt >= wanted) {
      this.#kept = this.now();
      this.#keptAt = this.#observed;
    }
    return this.#kept;
  }

  /** Cadence of every signal as it is known now, worked out anew. */
  now(): (signal: SignalName) => Cadence {
    const rowIntervalMs = this.rowIntervalMs();
    const known = new Map<SignalName, Cadence>();
    for (const [s, name] of signalNames.entries()) known.set(name, this.#of(s, rowIntervalMs));
    return (signal) => known.get(signal)!;
  }
}

/** How long a periodic value stands: 3 of its usual intervals, at least 3 s; a change-only one while rows come 90 s apart. */
export function standsForMs(cadence: Cadence): number {
  return Math.max(3000, 3 * cadence.usualMs);
}

/** Longest silence of the vehicle over which a change-only value still stands, ms. */
export const changeOnlySilenceMs = 90_000;
