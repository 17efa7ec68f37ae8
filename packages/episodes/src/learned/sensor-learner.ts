/**
 * What is learned of a truck's sensors from its rows: load noise and step, the speed below which the wheel sensor reads 0,
 * low idle, and what a released pedal reads. Causal: only rows already seen. Units: load in that of its signal, speed
 * km/h, idle r/min, pedal %.
 */
import { signalIndex } from '@gearhold/signals';
import { z } from 'zod';
import { fromJsonNumber, jsonNumber, ringFromJson, ringToJson, toJsonNumber } from '../state/json-number.ts';
import { selectInPlace } from '../statistics/robust.ts';

const speed = signalIndex.speedKph;
const rpm = signalIndex.engineRpm;
const pedal = signalIndex.acceleratorPct;

const diffRing = 63;
/** Differences at standstill before the noise is believed. */
const diffsNeeded = 5;
/** Slow samples needed before the blind speed is believed. */
const slowSamplesNeeded = 30;
/** Until the blind speed is known the contract takes 4 km/h, and never more than 6. */
const assumedBlindSpeedKph = 4;
const largestBlindSpeedKph = 6;
/** A released pedal reads at most this, %. */
const largestReleasedPct = 5;
const pedalBin = 0.2;
const pedalBinCount = Math.round(largestReleasedPct / pedalBin) + 1;
/** An engine that turns slower than this is starting or stopping, r/min (common practice). */
const runningRpm = 400;

/** What the rows have shown of the sensors so far; null = too few samples to tell. */
export interface Sensed {
  /** Robust standard deviation of the load at standstill, in its unit. */
  readonly noise: number | null;
  /** Smallest change of the load, in its unit. */
  readonly step: number | null;
  /** Slowest speed reported, within the contract's limits, km/h. */
  readonly blindSpeedKph: number | null;
}

export const sensorLearnerState = z.strictObject({
  loadSignal: z.enum(['suspensionKpa', 'axleLoadKg']),
  /** Last differences of the load at standstill, oldest first. */
  diffs: z.array(jsonNumber).max(diffRing),
  step: jsonNumber,
  lastLoad: jsonNumber,
  lastLoadTime: jsonNumber,
  slowest: z.tuple([jsonNumber, jsonNumber, jsonNumber]),
  slowSamples: z.number().int().min(0),
  lastSpeed: jsonNumber,
  idle: jsonNumber,
  lastRpm: jsonNumber,
  pedalBins: z.array(z.number().int().min(0)).length(pedalBinCount),
  pedalSamples: z.number().int().min(0),
});
export type SensorLearnerState = z.infer<typeof sensorLearnerState>;

export class SensorLearner {
  readonly #loadSignalName: SensorLearnerState['loadSignal'];
  readonly #loadSignal: number;
  readonly #diffs = new Float64Array(diffRing);
  #diffCount = 0;
  #step = Number.POSITIVE_INFINITY;
  #lastLoad = Number.NaN;
  #lastLoadTime = Number.NaN;
  #slowest: [number, number, number] = [Infinity, Infinity, Infinity];
  #slowSamples = 0;
  #lastSpeed = Number.NaN;
  #idle = Infinity;
  #lastRpm = Number.NaN;
  readonly #pedalBins = new Int32Array(pedalBinCount);
  #pedalSamples = 0;

  constructor(loadSignal: 'suspensionKpa' | 'axleLoadKg') {
    this.#loadSignalName = loadSignal;
    this.#loadSignal = signalIndex[loadSignal];
  }

  /** The learner that {@link SensorLearner.state} was taken of. */
  static resume(state: SensorLearnerState): SensorLearner {
    const learner = new SensorLearner(state.loadSignal);
    ringFromJson(learner.#diffs, state.diffs);
    learner.#diffCount = state.diffs.length;
    learner.#step = fromJsonNumber(state.step, Number.POSITIVE_INFINITY);
    learner.#lastLoad = fromJsonNumber(state.lastLoad);
    learner.#lastLoadTime = fromJsonNumber(state.lastLoadTime);
    const [first, second, third] = state.slowest;
    learner.#slowest = [first ?? Infinity, second ?? Infinity, third ?? Infinity];
    learner.#slowSamples = state.slowSamples;
    learner.#lastSpeed = fromJsonNumber(state.lastSpeed);
    learner.#idle = fromJsonNumber(state.idle, Infinity);
    learner.#lastRpm = fromJsonNumber(state.lastRpm);
    learner.#pedalBins.set(state.pedalBins);
    learner.#pedalSamples = state.pedalSamples;
    return learner;
  }

  state(): SensorLearnerState {
    const [first, second, third] = this.#slowest;
    return {
      loadSignal: this.#loadSignalName,
      diffs: ringToJson(this.#diffs, this.#diffCount),
      step: toJsonNumber(this.#step),
      lastLoad: toJsonNumber(this.#lastLoad),
      lastLoadTime: toJsonNumber(this.#lastLoadTime),
      slowest: [toJsonNumber(first), toJsonNumber(second), toJsonNumber(third)],
      slowSamples: this.#slowSamples,
      lastSpeed: toJsonNumber(this.#lastSpeed),
      idle: toJsonNumber(this.#idle),
      lastRpm: toJsonNumber(this.#lastRpm),
      pedalBins: Array.from(this.#pedalBins),
      pedalSamples: this.#pedalSamples,
    };
  }

  observe(timeMs: number, values: Float64Array, offset: number): void {
    const v = values[offset + speed];
    if (!Number.isNaN(v)) {
      if (v > 0 && v < 10) {
        this.#slowSamples += 1;
        this.#keepSlowest(v);
      }
      this.#lastSpeed = v;
    }
    const load = values[offset + this.#loadSignal];
    if (!Number.isNaN(load)) {
      const change = Math.abs(load - this.#lastLoad);
      if (this.#lastSpeed === 0 && timeMs - this.#lastLoadTime <= 15_000) {
        this.#diffs[this.#diffCount++ % diffRing] = change;
      }
      if (change > 1e-6 && change < this.#step) this.#step = change;
      this.#lastLoad = load;
      this.#lastLoadTime = timeMs;
    }
    const r = values[offset + rpm];
    if (!Number.isNaN(r)) {
      // Two samples in a row: a single low one may be the starter or a glitch.
      const level = Math.max(r, this.#lastRpm);
      if (r > runningRpm && this.#lastRpm > runningRpm && level < this.#idle) this.#idle = level;
      this.#lastRpm = r;
    }
    const p = values[offset + pedal];
    if (p <= largestReleasedPct) {
      this.#pedalBins[Math.round(p / pedalBin)] += 1;
      this.#pedalSamples += 1;
    }
  }

  /** What is known, and what is not yet. */
  sensed(): Sensed {
    return {
      noise: this.#diffCount < diffsNeeded ? null : this.noise,
      step: this.step === 0 ? null : this.step,
      blindSpeedKph: this.#slowSamples < slowSamplesNeeded ? null : this.blindSpeedKph,
    };
  }

  /** Robust standard deviation of the load at standstill; 0 until known. */
  get noise(): number {
    const count = Math.min(diffRing, this.#diffCount);
    if (count < diffsNeeded) return 0;
    // Median of |difference| of two normal samples is 0.6745 * sqrt(2) sigma.
    return selectInPlace(this.#diffs.slice(0, count), count >> 1) / 0.9539;
  }

  /** Smallest change of the load ever seen; 0 until known. */
  get step(): number {
    return Number.isFinite(this.#step) ? this.#step : 0;
  }

  /** Speed below which the sensor reads 0, km/h: the third-slowest speed ever reported, within the contract's limits. */
  get blindSpeedKph(): number {
    if (this.#slowSamples < slowSamplesNeeded) return assumedBlindSpeedKph;
    return Math.min(largestBlindSpeedKph, this.#slowest[2]);
  }

  /** Low idle: the lowest engine speed held for two samples so far, or null. */
  get idleRpm(): number | null {
    return Number.isFinite(this.#idle) ? this.#idle : null;
  }

  /** What the released pedal usually reads, %, or null until 20 low readings were seen. */
  get releasedPedalPct(): number | null {
    if (this.#pedalSamples < 20) return null;
    let most = 0;
    for (let i = 1; i < this.#pedalBins.length; i++) if (this.#pedalBins[i] > this.#pedalBins[most]) most = i;
    return most * pedalBin;
  }

  #keepSlowest(v: number): void {
    const s = this.#slowest;
    if (v >= s[2]) return;
    if (v < s[0]) this.#slowest = [v, s[0], s[1]];
    else if (v < s[1]) this.#slowest = [s[0], v, s[1]];
    else this.#slowest = [s[0], s[1], v];
  }
}
