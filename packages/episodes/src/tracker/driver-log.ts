/**
 * Who drove. A driver stands until another is reported, and at most until the ignition has been off, or the vehicle silent,
 * for 30 min, or nobody is signed in.
 */
import { signalIndex } from '@gearhold/signals';
import { z } from 'zod';
import type { DriverBasis } from '../episode.ts';
import { fromJsonNumber, jsonNumber, toJsonNumber } from '../state/json-number.ts';

const forgetMs = 30 * 60_000;
const loggedIn = signalIndex.driverLoggedIn;
const ignition = signalIndex.ignition;
const kept = 64;

interface Stint {
  readonly driverId: string;
  readonly fromMs: number;
  lastReportMs: number;
  /** When it stopped standing; Infinity while it does. */
  untilMs: number;
}

export const driverLogState = z.strictObject({
  stints: z
    .array(
      z.strictObject({
        driverId: z.string(),
        fromMs: z.number(),
        lastReportMs: z.number(),
        /** null = still standing. */
        untilMs: jsonNumber,
      }),
    )
    .max(kept),
  lastRowMs: jsonNumber,
  ignitionOffMs: jsonNumber,
});
export type DriverLogState = z.infer<typeof driverLogState>;

export class DriverLog {
  #stints: Stint[] = [];
  #lastRowMs = Number.NaN;
  #ignitionOffMs = Number.NaN;

  /** The log that {@link DriverLog.state} was taken of. */
  static resume(state: DriverLogState): DriverLog {
    const log = new DriverLog();
    log.#stints = state.stints.map((stint) => ({ ...stint, untilMs: fromJsonNumber(stint.untilMs, Infinity) }));
    log.#lastRowMs = fromJsonNumber(state.lastRowMs);
    log.#ignitionOffMs = fromJsonNumber(state.ignitionOffMs);
    return log;
  }

  state(): DriverLogState {
    return {
      stints: this.#stints.map((stint) => ({ ...stint, untilMs: toJsonNumber(stint.untilMs) })),
      lastRowMs: toJsonNumber(this.#lastRowMs),
      ignitionOffMs: toJsonNumber(this.#ignitionOffMs),
    };
  }

  /** Forgets who drove before an instant. */
  forgetBefore(timeMs: number): void {
    this.#stints = this.#stints.filter((stint) => stint.untilMs > timeMs);
  }

  observe(timeMs: number, driverId: string | null, values: Float64Array, offset: number): void {
    const silent = timeMs - this.#lastRowMs;
    if (silent >= forgetMs) this.#end(this.#lastRowMs + forgetMs);
    this.#lastRowMs = timeMs;
    const key = values[offset + ignition];
    if (key === 0) {
      if (Number.isNaN(this.#ignitionOffMs)) this.#ignitionOffMs = timeMs;
      if (timeMs - this.#ignitionOffMs >= forgetMs) this.#end(this.#ignitionOffMs + forgetMs);
    } else if (key === 1) {
      if (timeMs - this.#ignitionOffMs >= forgetMs) this.#end(this.#ignitionOffMs + forgetMs);
      this.#ignitionOffMs = Number.NaN;
    }
    if (values[offset + loggedIn] === 0) this.#end(timeMs);
    else if (driverId !== null) this.#report(timeMs, driverId);
  }

  /** The driver standing at an instant, and on what ground, for an episode from `startMs` to `endMs`. */
  at(instantMs: number, startMs: number, endMs: number): { driverId: string | null; driverBasis: DriverBasis } {
    for (let i = this.#stints.length - 1; i >= 0; i--) {
      const stint = this.#stints[i];
      if (stint.fromMs > instantMs || stint.untilMs <= instantMs) continue;
      const within = stint.lastReportMs >= startMs && stint.fromMs <= endMs;
      return { driverId: stint.driverId, driverBasis: within ? 'reported' : 'carried' };
    }
    return { driverId: null, driverBasis: 'unknown' };
  }

  #report(timeMs: number, driverId: string): void {
    const last = this.#stints.at(-1);
    if (last !== undefined && last.driverId === driverId && last.untilMs === Infinity) {
      last.lastReportMs = timeMs;
      return;
    }
    this.#end(timeMs);
    this.#stints.push({ driverId, fromMs: timeMs, lastReportMs: timeMs, untilMs: Infinity });
    if (this.#stints.length > kept) this.#stints.shift();
  }

  #end(timeMs: number): void {
    const last = this.#stints.at(-1);
    if (last !== undefined && last.untilMs === Infinity) last.untilMs = timeMs;
  }
}
