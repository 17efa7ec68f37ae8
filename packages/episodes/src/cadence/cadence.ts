/**
 * How a source sends each signal: at regular intervals, or only what changed. Learned from the rows of one vehicle, and
 * only from rows already seen.
 *
 * Four marks tell them apart. A periodic signal repeats its value soon, or in rows in which others change; one that never
 * repeats keeps a beat; a slow one comes, and changes, in rows that carry everything. A change-only signal does none of this:
 * where most rows carry little, one that carries nearly everything is a heartbeat or a new start, and what it repeats says nothing.
 */
import { type SignalName, signalCount, signalIndex, signalNames } from '@gearhold/signals';
import { z } from 'zod';
import type { Cadence } from '../evidence.ts';
import { fromJsonNumber, jsonNumber, ringFromJson, ringToJson, toJsonNumber } from '../state/json-number.ts';
import { selectInPlace } from '../statistics/robust.ts';
import { Intervals, intervalsState } from './intervals.ts';

const ringSize = 31;
/** Every row is looked at until this many; then blocks, so that the row path stays lean. */
const denseRows = 512;
const blockMask = 1023;
const blockRows = 96;
/** A repeat within this time is the beat of a periodic source, not a heartbeat. */
const shortRepeatMs = 15_000;
/** A row with so large a share of the signals ever reported carries everything, unless cells were lost. */
const fullShare = 0.8;
/** A source of which so small a share of the rows carries everything sends most of it only at times. */
const seldomFull = 0.3;
/** A signal of a source that sends only what changed; two others must show that where its own reports are too few. */
const witnessesNeeded = 2;
/** Rows of the vehicle without a report of it, before a signal reported once counts as one that did not change. */
const rowsUnchanged = 60;
/** A periodic signal repeats itself in more than this share of its reports, or is in more than this share of the rows. */
const repeatsOften = 0.1;
const presentOften = 0.7;

const count = z.number().int().min(0);

export const cadenceState = z.strictObject({
  rows: count,
  observed: count,
  inBlock: z.boolean(),
  /** Rows that carried nearly everything. */
  fullRows: count,
  /** Signals that were ever reported, by name. */
  signals: z.partialRecord(
    z.enum(signalNames),
    z.strictObject({
      reports: count,
      repeats: count,
      changes: count,
      /** Those of the three in rows that carried nearly everything. */
      fullReports: count,
      fullRepeats: count,
      fullChanges: count,
      firstObserved: count,
      lastValue: jsonNumber,
      lastTime: jsonNumber,
      /** Last intervals between reports, oldest first; null before the second. */
      intervals: z.array(jsonNumber).max(ringSize).nullable(),
      /** All intervals by length; null before the first. */
      lengths: intervalsState.nullable(),
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
  /** Rows that carried nearly everything. */
  #fullRows = 0;
  #signals = 0;
  readonly #reports = new Int32Array(signalCount);
  readonly #repeats = new Int32Array(signalCount);
  readonly #changes = new Int32Array(signalCount);
  /** Those of the three in rows that carried nearly everything. */
  readonly #fullReports = new Int32Array(signalCount);
  readonly #fullRepeats = new Int32Array(signalCount);
  readonly #fullChanges = new Int32Array(signalCount);
  readonly #firstObserved = new Int32Array(signalCount).fill(-1);
  readonly #lastValue = new Float64Array(signalCount).fill(Number.NaN);
  readonly #lastTime = new Float64Array(signalCount).fill(Number.NaN);
  readonly #rings: (Float64Array | null)[] = new Array(signalCount).fill(null);
  readonly #ringCount = new Int32Array(signalCount);
  readonly #intervals: (Intervals | null)[] = new Array(signalCount).fill(null);
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
    learner.#fullRows = state.fullRows;
    for (const [s, name] of signalNames.entries()) {
      const signal = state.signals[name];
      if (signal === undefined) continue;
      learner.#reports[s] = signal.reports;
      learner.#signals += 1;
      learner.#repeats[s] = signal.repeats;
      learner.#changes[s] = signal.changes;
      learner.#fullReports[s] = signal.fullReports;
      learner.#fullRepeats[s] = signal.fullRepeats;
      learner.#fullChanges[s] = signal.fullChanges;
      learner.#intervals[s] = signal.lengths === null ? null : Intervals.resume(signal.lengths);
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
        changes: this.#changes[s],
        fullReports: this.#fullReports[s],
        fullRepeats: this.#fullRepeats[s],
        fullChanges: this.#fullChanges[s],
        firstObserved: this.#firstObserved[s],
        lastValue: toJsonNumber(this.#lastValue[s]),
        lastTime: toJsonNumber(this.#lastTime[s]),
        intervals: ring === null ? null : ringToJson(ring, this.#ringCount[s]),
        lengths: this.#intervals[s]?.state() ?? null,
      };
    }
    return {
      rows: this.#rows,
      observed: this.#observed,
      inBlock: this.#inBlock,
      fullRows: this.#fullRows,
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
    const rowGap = timeMs - this.#lastRowTime;
    if (!Number.isNaN(rowGap)) this.#rowRing[this.#rowRingCount++ % ringSize] = rowGap;
    this.#lastRowTime = timeMs;
    let changes = false;
    let carried = 0;
    for (let s = 0; s < signalCount; s++) {
      const value = values[offset + s];
      if (Number.isNaN(value)) continue;
      carried += 1;
      if (this.#firstObserved[s] < 0) this.#signals += 1;
      if (value !== this.#lastValue[s]) changes = true;
    }
    const full = carried > 1 && carried >= fullShare * this.#signals;
    if (full) this.#fullRows += 1;
    for (let s = 0; s < signalCount; s++) {
      const value = values[offset + s];
      if (Number.isNaN(value)) continue;
      if (this.#firstObserved[s] < 0) this.#firstObserved[s] = row;
      this.#count(this.#reports, this.#fullReports, s, full);
      const sinceLast = timeMs - this.#lastTime[s];
      if (!Number.isNaN(sinceLast)) {
        let ring = this.#rings[s];
        if (ring === null) {
          ring = new Float64Array(ringSize);
          this.#rings[s] = ring;
        }
        ring[this.#ringCount[s]++ % ringSize] = sinceLast;
        // Where the whole vehicle was silent for long, the source kept no beat that could be told from a changed one.
        if (rowGap <= changeOnlySilenceMs) {
          const intervals = this.#intervals[s] ?? new Intervals();
          intervals.observe(sinceLast);
          this.#intervals[s] = intervals;
        }
        if (value !== this.#lastValue[s]) this.#count(this.#changes, this.#fullChanges, s, full);
        else if (changes || sinceLast <= shortRepeatMs) this.#count(this.#repeats, this.#fullRepeats, s, full);
      }
      this.#lastValue[s] = value;
      this.#lastTime[s] = timeMs;
    }
  }

  #count(all: Int32Array, inFullRows: Int32Array, s: number, full: boolean): void {
    all[s] += 1;
    if (full) inFullRows[s] += 1;
  }

  /** What comes next does not follow on what came: the time between is no interval of the source. */
  pause(): void {
    this.#inBlock = false;
  }

  /** What is known of a signal's cadence now. */
  of(signal: SignalName): Cadence {
    return this.now()(signal);
  }

  /** By the signal's own reports; null where they are too few to tell. */
  #modeOf(s: number, usualMs: number): 'periodic' | 'change-only' | null {
    const presence = this.#reports[s] / (this.#observed - this.#firstObserved[s]);
    const keepsBeat = usualMs <= shortRepeatMs && this.#intervals[s]?.keepBeat === true;
    if (this.#fullRows >= seldomFull * this.#observed) {
      const repeats = this.#repeats[s] >= repeatsOften * this.#reports[s];
      return repeats || presence >= presentOften || keepsBeat ? 'periodic' : 'change-only';
    }
    const reports = this.#reports[s] - this.#fullReports[s];
    const repeats = this.#repeats[s] - this.#fullRepeats[s];
    const changes = this.#changes[s] - this.#fullChanges[s];
    if (this.#fullChanges[s] >= 2 && changes < repeatsOften * this.#fullChanges[s]) return 'periodic';
    if (reports === 0) return null;
    return repeats >= repeatsOften * reports || keepsBeat ? 'periodic' : 'change-only';
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
    const usual: (number | null)[] = signalNames.map((_, s) => this.#usualMs(s));
    const modes = usual.map((usualMs, s) => (usualMs === null ? null : this.#modeOf(s, usualMs)));
    // A box sends all of its signals alike: what it sent once, and not since, did not change.
    const sendsChanges =
      modes.filter((mode) => mode === 'change-only').length >= witnessesNeeded && !modes.includes('periodic');
    const cadences = modes.map((mode, s): Cadence => {
      const usualMs = usual[s] ?? null;
      if (mode === 'change-only' || (mode === null && sendsChanges && this.#unchanged(s)))
        return { mode: 'change-only', usualMs: rowIntervalMs };
      return usualMs === null ? { mode: 'unknown', usualMs: rowIntervalMs } : { mode: 'periodic', usualMs };
    });
    return (signal) => cadences[signalIndex[signal]];
  }

  /** Median interval between the last reports, ms; null before the third interval. */
  #usualMs(s: number): number | null {
    const ring = this.#rings[s];
    const count = Math.min(ringSize, this.#ringCount[s]);
    return ring === null || count < 3 ? null : selectInPlace(ring.slice(0, count), count >> 1);
  }

  #unchanged(s: number): boolean {
    return this.#reports[s] > 0 && this.#observed - this.#firstObserved[s] - this.#reports[s] >= rowsUnchanged;
  }
}

/** How long a periodic value stands: 3 of its usual intervals, at least 3 s; a change-only one while rows come 90 s apart. */
export function standsForMs(cadence: Cadence): number {
  return Math.max(3000, 3 * cadence.usualMs);
}

/** Longest silence of the vehicle over which a change-only value still stands, ms. */
export const changeOnlySilenceMs = 90_000;
