/**
 * The days of a fleet, in its own zone: the one place where a day becomes two instants. Everything else, SQL included, works with
 * the instants, so that two tables of zones can never disagree about a day. A day lasts 23 to 25 hours where clocks change, and
 * begins at its first instant, which is not midnight where midnight is skipped. Times are ms since the epoch.
 */
import { Temporal } from './temporal.ts';

export interface DayWindow {
  /** `2026-03-08` */
  readonly day: string;
  /** IANA name. */
  readonly zone: string;
  /** The first instant of the day. */
  readonly startMs: number;
  /** The first instant of the next day. */
  readonly endMs: number;
  /** Version of the zone data that this was computed with, such as `2026b`. */
  readonly zoneData: string;
}

const dayPattern = /^\d{4}-\d{2}-\d{2}$/;

/** Version of the zone data of this runtime. */
export const zoneDataVersion: string = process.versions.tz ?? 'unknown';

/** Whether a text is a day of the calendar, as `2026-03-08`. */
export function isDay(text: string): boolean {
  if (!dayPattern.test(text)) return false;
  try {
    Temporal.PlainDate.from(text);
    return true;
  } catch {
    // The runtime's word for a day that the calendar does not have.
    return false;
  }
}

/** The window of a day. Takes a day that passes {@link isDay} and a zone that the runtime knows; throws a RangeError otherwise. */
export function dayWindow(day: string, zone: string): DayWindow {
  if (!isDay(day)) throw new RangeError(`dayWindow: ${day} is no day`);
  const date = Temporal.PlainDate.from(day);
  return {
    day,
    zone,
    startMs: date.toZonedDateTime(zone).epochMilliseconds,
    endMs: date.add({ days: 1 }).toZonedDateTime(zone).epochMilliseconds,
    zoneData: zoneDataVersion,
  };
}

/** The day that an instant falls into. */
export function dayOf(timeMs: number, zone: string): string {
  return Temporal.Instant.fromEpochMilliseconds(Math.floor(timeMs)).toZonedDateTimeISO(zone).toPlainDate().toString();
}

/** The day so many days after another; before it where negative. */
export function dayAfter(day: string, days = 1): string {
  return Temporal.PlainDate.from(day).add({ days }).toString();
}

/** Both days and all between; empty where the second comes before the first. */
export function daysFrom(first: string, last: string): string[] {
  const days: string[] = [];
  const end = Temporal.PlainDate.from(last);
  for (
    let date = Temporal.PlainDate.from(first);
    Temporal.PlainDate.compare(date, end) <= 0;
    date = date.add({ days: 1 })
  )
    days.push(date.toString());
  return days;
}
