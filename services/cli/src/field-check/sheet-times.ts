/**
 * Times of a sheet's row: a whole RFC 3339 time, or a time of day that stands on the row's date in its zone. The first time
 * of day of a row is on that date; another is on the day that brings it nearest to the first, so that a coupling across
 * midnight needs no second date.
 */
import { LocalClock } from '@gearhold/signals';
import { z } from 'zod';

const dayMs = 86_400_000;
const rfc3339 = z.iso.datetime({ offset: true });
const timeOfDay = /^(\d{1,2}):(\d{2})(?::(\d{2}(?:[.,]\d{1,6})?))?(?: ?([ap])\.?m\.?)?$/i;

/** An instant in ms, or what is wrong with the cell as a sentence part. */
export type ReadTime = number | string;

export class RowClock {
  readonly #date: string;
  readonly #zone: string;
  readonly #clock: LocalClock | null;
  #firstMs: number | null = null;

  /** `date` (2026-03-02) and `zone` as written, empty where they are blank; each has been checked where it is not. */
  constructor(date: string, zone: string) {
    this.#date = date;
    this.#zone = zone;
    this.#clock = zone === '' ? null : new LocalClock(zone, 'reject');
  }

  /** `toTheSecond`: a stopwatch time, of which the seconds may not be left out. */
  read(cell: string, toTheSecond: boolean): ReadTime {
    if (rfc3339.safeParse(cell).success) return Date.parse(cell);
    const parts = timeOfDay.exec(cell);
    if (parts === null) return 'expected a time of day such as 06:14:05, or a time such as 2026-03-02T06:14:05-06:00';
    const ofDay = sinceMidnight(parts);
    if (ofDay === null) return 'there is no such time of day';
    if (toTheSecond && parts[3] === undefined) {
      return 'expected seconds too, such as 06:14:05: a time to the minute cannot be held against bounds';
    }
    if (this.#date === '') return 'a time of day needs the row\'s date: expected one such as 2026-03-02 in "date"';
    if (this.#clock === null) {
      return 'a time of day needs the row\'s zone: expected one such as America/Chicago or -06:00 in "zone"';
    }
    return this.#instant(this.#clock, ofDay);
  }

  #instant(clock: LocalClock, ofDay: number): ReadTime {
    const midnight = Date.parse(`${this.#date}T00:00:00Z`);
    const days = this.#firstMs === null ? [0] : [0, -1, 1];
    const instants = days.map((day) => clock.instant(midnight + day * dayMs + ofDay));
    const reference = this.#firstMs;
    if (reference !== null) instants.sort((a, b) => distance(a, reference) - distance(b, reference));
    const [instant = Number.NaN] = instants;
    if (Number.isNaN(instant)) {
      return clock.failure === 'time-skipped'
        ? `the clocks of ${this.#zone} skip that time on that day`
        : `the clocks of ${this.#zone} show that time twice on that day: expected it with its offset, such as 2026-11-01T01:30:00-06:00`;
    }
    this.#firstMs ??= instant;
    return instant;
  }
}

function distance(instant: number, reference: number): number {
  return Number.isNaN(instant) ? Number.POSITIVE_INFINITY : Math.abs(instant - reference);
}

/** ms since midnight; null where there is no such time. */
function sinceMidnight([, hourText, minuteText, secondText = '0', half]: RegExpExecArray): number | null {
  let hour = Number(hourText);
  const minute = Number(minuteText);
  const second = Number(secondText.replace(',', '.'));
  if (half !== undefined) {
    if (hour < 1 || hour > 12) return null;
    hour = (hour % 12) + (half.toLowerCase() === 'p' ? 12 : 0);
  }
  if (hour > 23 || minute > 59 || second >= 60) return null;
  return Math.round(((hour * 60 + minute) * 60 + second) * 1000);
}
