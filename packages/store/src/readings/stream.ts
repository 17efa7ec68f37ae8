/**
 * Readings of a vehicle between two instants, in order of time, in pages: memory is bounded by the page, whatever the span.
 * Values come as the tracker takes them: one row-major array, NaN where not reported.
 */
import type { Statements } from '../engine/engine.ts';
import { instant } from '../engine/values.ts';
import { signalColumns } from './columns.ts';

export interface ReadingPage {
  readonly length: number;
  /** ms since the epoch, strictly increasing. */
  readonly timesMs: Float64Array;
  readonly driverIds: readonly (string | null)[];
  /** Signal `s` of row `r` at `r * signalColumns.length + s`; NaN = not reported. */
  readonly values: Float64Array;
}

export interface ReadingSpan {
  readonly vehicleId: string;
  /** First instant, included, ms since the epoch. Defaults to all there are. */
  readonly fromMs?: number;
  /** Last instant, not included. Defaults to all there are. */
  readonly untilMs?: number;
}

/** Rows a page. */
const pageRowsDefault = 10_000;

const columns = signalColumns.map(({ column }) => column);
/** A page comes as one JSON array a column: a driver hands over some texts, and not a value at a time. */
const pageSql = `select ${['(extract(epoch from time) * 1000000)::bigint', 'driver_id', ...columns]
  .map((column) => `json_agg(${column})`)
  .join(', ')}
  from (select time, driver_id, ${columns.join(', ')} from reading
    where vehicle_id = $1 and time >= $2 and time < $3 order by time limit $4) as page`;

/**
 * Pages of readings. Give the transaction that holds the vehicle's lock where the whole must be of one moment.
 *
 * @param pageRows most rows a page
 */
export async function* readReadings(
  statements: Statements,
  span: ReadingSpan,
  pageRows = pageRowsDefault,
): AsyncGenerator<ReadingPage> {
  let from = instant(span.fromMs ?? Number.NEGATIVE_INFINITY);
  const until = instant(span.untilMs ?? Number.POSITIVE_INFINITY);
  for (;;) {
    const [row] = await statements.rows(pageSql, [span.vehicleId, from, until, pageRows]);
    const page = pageOf(row as (string | null)[]);
    if (page === null) return;
    yield page;
    if (page.length < pageRows) return;
    // The next microsecond: the store knows none between.
    from = instant(page.timesMs[page.length - 1]! + 0.001);
  }
}

/** Null where no row was left. */
function pageOf([times, drivers, ...signals]: readonly (string | null)[]): ReadingPage | null {
  if (times === null || times === undefined) return null;
  const micros = JSON.parse(times) as number[];
  const length = micros.length;
  const values = new Float64Array(length * signals.length);
  for (const [s, column] of signals.entries()) {
    const reported = JSON.parse(column!) as (number | null)[];
    for (let row = 0; row < length; row++) values[row * signals.length + s] = reported[row] ?? Number.NaN;
  }
  return {
    length,
    timesMs: Float64Array.from(micros, (micro) => micro / 1000),
    driverIds: JSON.parse(drivers!) as (string | null)[],
    values,
  };
}
