/**
 * Silences over which nothing may be concluded. A clock that jumps leaves one in event time, and so does a source that was
 * away for long: what lies before and after it are two inputs, and no episode reaches across.
 *
 * A truck that is parked is silent too. A silence between two rows that both show standing with the parking brake applied
 * or the ignition off, at the same position, is standing (contract), and ends nothing, unless it is longer than any truck
 * is believed to be parked between two of its rows. Times in ms; values as last reported, NaN = never.
 */
import { signalIndex } from '@gearhold/signals';

/** A silence with the truck moving at either end, longer than this, hides where it was and what it did (house policy). */
const movingMs = 3_600_000;
/** Without proof of parking a silence ends what is open as the contract closes an episode: after 12 h. */
const unprovenMs = 12 * 3_600_000;
/** No proof of parking holds for longer: weeks are a holiday, months with two clocks that agree are rare (house policy). */
const parkedMs = 35 * 86_400_000;
/** The same place, m (contract), and metres of one degree of latitude, near enough. */
const samePlaceMetres = 10;
const metresPerDegree = 111_195;

const speedAt = signalIndex.speedKph;
const parkingBrakeAt = signalIndex.parkingBrake;
const ignitionAt = signalIndex.ignition;
const latitudeAt = signalIndex.latitude;
const longitudeAt = signalIndex.longitude;

export class SilenceWatch {
  #timeMs = Number.NaN;
  #speed = Number.NaN;
  #parkingBrake = Number.NaN;
  #ignition = Number.NaN;
  #latitude = Number.NaN;
  #longitude = Number.NaN;

  /** Takes note of one row; true: what came before it has nothing to do with it. */
  breaksBefore(timeMs: number, values: Float64Array, offset: number): boolean {
    const silentMs = timeMs - this.#timeMs;
    const breaks = silentMs > movingMs && !this.#holdsOver(silentMs, values, offset);
    this.#timeMs = timeMs;
    const speed = values[offset + speedAt];
    const parkingBrake = values[offset + parkingBrakeAt];
    const ignition = values[offset + ignitionAt];
    const latitude = values[offset + latitudeAt];
    const longitude = values[offset + longitudeAt];
    if (breaks || !Number.isNaN(speed)) this.#speed = speed;
    if (breaks || !Number.isNaN(parkingBrake)) this.#parkingBrake = parkingBrake;
    if (breaks || !Number.isNaN(ignition)) this.#ignition = ignition;
    if (breaks || !Number.isNaN(latitude)) this.#latitude = latitude;
    if (breaks || !Number.isNaN(longitude)) this.#longitude = longitude;
    return breaks;
  }

  #holdsOver(silentMs: number, values: Float64Array, offset: number): boolean {
    if (this.#speed > 0 || values[offset + speedAt] > 0) return false;
    if (silentMs <= unprovenMs) return true;
    const parkedBefore = this.#parkingBrake === 1 || this.#ignition === 0;
    const parkedAfter = values[offset + parkingBrakeAt] === 1 || values[offset + ignitionAt] === 0;
    return silentMs <= parkedMs && parkedBefore && parkedAfter && this.#isSamePlace(values, offset);
  }

  /** Where a position is reported at both ends. */
  #isSamePlace(values: Float64Array, offset: number): boolean {
    const north = (values[offset + latitudeAt] - this.#latitude) * metresPerDegree;
    const degreesEast = Math.abs(values[offset + longitudeAt] - this.#longitude);
    const scale = metresPerDegree * Math.cos((this.#latitude * Math.PI) / 180);
    const east = Math.min(degreesEast, 360 - degreesEast) * scale;
    return !(Math.hypot(north, east) > samePlaceMetres);
  }
}
