/**
 * The trace strips of an episode, from its evidence: one signal a strip on one shared axis of time. A value that is not reported is
 * `undefined` where the line may go on to the next, and null where there is a gap: nothing was reported for more than three times
 * the usual interval of the signal, or `shortestGapS`.
 */
import { inUnits, type Units } from '@gearhold/look';
import type { Evidence } from '../server/messages.ts';

export interface Strip {
  readonly signal: string;
  readonly title: string;
  readonly unit: string;
  readonly stepped: boolean;
  /** One value a time of the axis. */
  readonly values: readonly (number | null | undefined)[];
}

export interface Strips {
  /** Seconds since the epoch, ascending. */
  readonly times: readonly number[];
  readonly strips: readonly Strip[];
  /** Titles of what was not reported at all. */
  readonly missing: readonly string[];
}

const shortestGapS = 5;

interface Wanted {
  /** The first of them that was reported is drawn. */
  readonly signals: readonly string[];
  readonly title: string;
  readonly stepped?: boolean;
}

const wanted: readonly Wanted[] = [
  { signals: ['suspensionKpa', 'axleLoadKg'], title: 'Drive-axle load' },
  { signals: ['speedKph'], title: 'Speed, below zero in reverse gear' },
  { signals: ['acceleratorPct', 'engineRpm'], title: 'Accelerator or engine speed' },
  { signals: ['gear'], title: 'Gear', stepped: true },
  { signals: ['parkingBrake'], title: 'Parking brake', stepped: true },
];

const titles: Readonly<Record<string, string>> = {
  suspensionKpa: 'Air-spring pressure',
  axleLoadKg: 'Axle load',
  acceleratorPct: 'Accelerator',
  engineRpm: 'Engine speed',
};

export function stripsOf(evidence: Evidence, units: Units): Strips {
  const seconds = evidence.times.map((time) => Date.parse(time) / 1000);
  const reported = new Map(
    evidence.columns
      .filter(({ values }) => values.some((value) => value !== null))
      .map((column) => [column.signal, column]),
  );
  const gear = reported.get('gear')?.values;
  const missing: string[] = [];
  const chosen = wanted.flatMap(({ signals, title, stepped = false }) => {
    const column = signals.map((signal) => reported.get(signal)).find((found) => found !== undefined);
    if (column === undefined) {
      missing.push(title.replace(/,.*/, '').toLowerCase());
      return [];
    }
    const raw = column.signal === 'speedKph' && gear !== undefined ? signedSpeed(column.values, gear) : column.values;
    const unit = inUnits(0, column.unit, units).unit;
    const values = raw.map((value) => (value === null ? null : inUnits(value, column.unit, units).value));
    const name = titles[column.signal] ?? (gear === undefined ? title.replace(/,.*/, '') : title);
    return [{ signal: column.signal, title: name, unit: unit === '1' || unit === '0/1' ? '' : unit, stepped, values }];
  });
  const gaps = chosen.map(({ values }) => gapOf(seconds, values));
  // Where even the rows stop, an instant is put in that holds the gap.
  const rowGap = Math.min(...gaps, Number.POSITIVE_INFINITY);
  const axis: { at: number; row: number | null }[] = [];
  for (const [row, at] of seconds.entries()) {
    const before = seconds[row - 1];
    if (before !== undefined && at - before > rowGap) axis.push({ at: (before + at) / 2, row: null });
    axis.push({ at, row });
  }
  return {
    times: axis.map(({ at }) => at),
    strips: chosen.map((strip, place) => ({ ...strip, values: withGaps(axis, strip.values, gaps[place]!) })),
    missing,
  };
}

/** Speed below zero while the last gear reported is a reverse one. */
function signedSpeed(speed: readonly (number | null)[], gear: readonly (number | null)[]): (number | null)[] {
  let last: number | null = null;
  return speed.map((value, row) => {
    last = gear[row] ?? last;
    return value !== null && last !== null && last < 0 ? -value : value;
  });
}

/** From which silence on a signal has a gap, s. */
function gapOf(seconds: readonly number[], values: readonly (number | null)[]): number {
  const at = seconds.filter((_, row) => values[row] !== null);
  const intervals = at
    .slice(1)
    .map((time, place) => time - at[place]!)
    .sort((a, b) => a - b);
  return Math.max(shortestGapS, 3 * (intervals[intervals.length >> 1] ?? 0));
}

function withGaps(
  axis: readonly { at: number; row: number | null }[],
  values: readonly (number | null)[],
  gap: number,
): (number | null | undefined)[] {
  const valueAt = ({ row }: { row: number | null }) => (row === null ? null : values[row]!);
  const told = axis.map(valueAt) as (number | null | undefined)[];
  let last: number | null = null;
  for (const [place, value] of told.entries()) {
    if (value === null) continue;
    if (last !== null && axis[place]!.at - axis[last]!.at <= gap) told.fill(undefined, last + 1, place);
    last = place;
  }
  return told;
}

/** What was last reported at a place of the axis, not across a gap; null where nothing was. */
export function readOff({ values }: Strip, place: number): number | null {
  for (let at = place; at >= 0; at--) {
    const value = values[at];
    if (value === null) return null;
    if (value !== undefined) return value;
  }
  return null;
}
