/**
 * A load sensor that sticks repeats one value to the last digit while the truck shakes it. How often neighbouring samples of
 * this sensor differ while driving is learned; a run of equal ones longer than that allows is no reading. Empty springs do
 * read 0 throughout, so a run of zeros counts only where it began at once: air leaves springs over seconds.
 */
import { z } from 'zod';
import { fromJsonNumber, jsonNumber, toJsonNumber } from '../state/json-number.ts';

/** Faster than this the road shakes the springs, km/h (common practice). */
const shakenKph = 5;
/** Samples while driving before the sensor's restlessness is known. */
const neededSamples = 60;
/** A run this improbable is no chance. */
const improbable = 1e-7;
const shortestRun = 10;
/** Share of the pressure that springs lose within a second or so at most, where it is dumped (common practice). */
const fastestLoss = 0.7;
const atOnceMs = 1600;
/** A loss smaller than this is within what shaking does, in the signal's unit. */
const smallestLoss = 20;

export const stuckSensorState = z.strictObject({
  last: jsonNumber,
  lastMs: jsonNumber,
  drivenSamples: z.number().int().min(0),
  changes: z.number().int().min(0),
  run: z.number().int().min(0),
  enteredAtOnce: z.boolean(),
  stuck: z.boolean(),
  sinceMs: jsonNumber,
});
export type StuckSensorState = z.infer<typeof stuckSensorState>;

export class StuckSensor {
  #last = Number.NaN;
  #lastMs = Number.NaN;
  #drivenSamples = 0;
  #changes = 0;
  #run = 0;
  #enteredAtOnce = false;
  #stuck = false;
  #sinceMs = Number.NaN;

  /** The sensor that {@link StuckSensor.state} was taken of. */
  static resume(state: StuckSensorState): StuckSensor {
    const sensor = new StuckSensor();
    sensor.#last = fromJsonNumber(state.last);
    sensor.#lastMs = fromJsonNumber(state.lastMs);
    sensor.#drivenSamples = state.drivenSamples;
    sensor.#changes = state.changes;
    sensor.#run = state.run;
    sensor.#enteredAtOnce = state.enteredAtOnce;
    sensor.#stuck = state.stuck;
    sensor.#sinceMs = fromJsonNumber(state.sinceMs);
    return sensor;
  }

  state(): StuckSensorState {
    return {
      last: toJsonNumber(this.#last),
      lastMs: toJsonNumber(this.#lastMs),
      drivenSamples: this.#drivenSamples,
      changes: this.#changes,
      run: this.#run,
      enteredAtOnce: this.#enteredAtOnce,
      stuck: this.#stuck,
      sinceMs: toJsonNumber(this.#sinceMs),
    };
  }

  /** Whether the sample just observed belongs to a stuck run. */
  get stuck(): boolean {
    return this.#stuck;
  }

  /** When the present run of equal values began, ms. */
  get sinceMs(): number {
    return this.#sinceMs;
  }

  /** Takes a sample of the load, and the speed standing at it, km/h. Returns whether it has just turned out to be stuck. */
  observe(timeMs: number, load: number, speedKph: number): boolean {
    const driving = speedKph > shakenKph;
    if (load !== this.#last) {
      if (driving && this.#run <= shortestRun) {
        this.#drivenSamples += 1;
        this.#changes += 1;
      }
      const lost = this.#last - load;
      this.#enteredAtOnce =
        timeMs - this.#lastMs <= atOnceMs && lost > Math.max(smallestLoss, fastestLoss * this.#last);
      this.#run = 0;
      this.#stuck = false;
      this.#sinceMs = timeMs;
    } else if (driving && !this.#stuck) {
      this.#run += 1;
      if (this.#run <= shortestRun) this.#drivenSamples += 1;
      if (this.#run >= this.#longestChance() && (load !== 0 || this.#enteredAtOnce)) this.#stuck = true;
      this.#last = load;
      this.#lastMs = timeMs;
      return this.#stuck;
    }
    this.#last = load;
    this.#lastMs = timeMs;
    return false;
  }

  /** The longest run of equal neighbours while driving that chance explains. */
  #longestChance(): number {
    if (this.#drivenSamples < neededSamples || this.#changes === 0) return Infinity;
    const equal = 1 - this.#changes / this.#drivenSamples;
    return equal <= 0 ? shortestRun : Math.max(shortestRun, Math.log(improbable) / Math.log(equal));
  }
}
