/**
 * The present stretch of travel, from the speeds as they come: how far it has gone, and how long the truck has stood since.
 * Times ms, speeds km/h, distances m.
 */
import { z } from 'zod';
import { fromJsonNumber, jsonNumber, toJsonNumber } from '../state/json-number.ts';

/** Two speeds further apart than this say nothing of what lay between them, s. */
const longestStepSeconds = 60;

export const travelState = z.strictObject({
  speedKph: z.number(),
  speedMs: jsonNumber,
  metres: z.number(),
  zeroSinceMs: jsonNumber,
  standSeen: z.boolean(),
});
export type TravelState = z.infer<typeof travelState>;

export class Travel {
  #speedKph = 0;
  #speedMs = Number.NaN;
  #metres = 0;
  #zeroSinceMs = Number.NaN;
  #standSeen = false;

  /** The travel that {@link Travel.state} was taken of. */
  static resume(state: TravelState): Travel {
    const travel = new Travel();
    travel.#speedKph = state.speedKph;
    travel.#speedMs = fromJsonNumber(state.speedMs);
    travel.#metres = state.metres;
    travel.#zeroSinceMs = fromJsonNumber(state.zeroSinceMs);
    travel.#standSeen = state.standSeen;
    return travel;
  }

  state(): TravelState {
    return {
      speedKph: this.#speedKph,
      speedMs: toJsonNumber(this.#speedMs),
      metres: this.#metres,
      zeroSinceMs: toJsonNumber(this.#zeroSinceMs),
      standSeen: this.#standSeen,
    };
  }

  /** The speed last reported; 0 before the first. */
  get speedKph(): number {
    return this.#speedKph;
  }

  /** When it was reported; NaN before the first. */
  get speedMs(): number {
    return this.#speedMs;
  }

  get metres(): number {
    return this.#metres;
  }

  /** Whether the present standstill has ended the stretch. */
  get standSeen(): boolean {
    return this.#standSeen;
  }

  /** How long the speed has read 0, ms; NaN while the truck moves. */
  stoodMs(timeMs: number): number {
    return timeMs - this.#zeroSinceMs;
  }

  take(timeMs: number, speedKph: number): void {
    const seconds = (timeMs - this.#speedMs) / 1000;
    if (speedKph > 0) {
      if (seconds > 0 && seconds < longestStepSeconds) this.#metres += (seconds * (speedKph + this.#speedKph)) / 7.2;
      this.#zeroSinceMs = Number.NaN;
      this.#standSeen = false;
    } else {
      if (this.#speedKph > 0 && seconds < longestStepSeconds) this.#metres += (seconds * this.#speedKph) / 7.2;
      if (Number.isNaN(this.#zeroSinceMs)) this.#zeroSinceMs = timeMs;
    }
    this.#speedKph = speedKph;
    this.#speedMs = timeMs;
  }

  /** The standstill is one: what is travelled next is another stretch. */
  endStretch(): void {
    this.#metres = 0;
    this.#standSeen = true;
  }
}
