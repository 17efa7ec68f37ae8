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

const columns = signalColumns.map(({ column }) => column).join(', ');
const pageSql = `select time, driver_id, ${columns} from reading
  where vehicle_id = $1 and time >= $2 and time < $3 order by time limit $4`;

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
    const rows = await statements.rows(pageSql, [span.vehicleId, from, until, pageRows]);
    if (rows.length === 0) return;
    const page = pageOf(rows);
    yield page;
    if (rows.length < pageRows) return;
    // The next microsecond: the store knows none between.
    from = instant(page.timesMs[page.length - 1]! + 0.001);
  }
}

function pageOf(rows: readonly unknown[][]): ReadingPage {
  const timesMs = new Float64Array(rows.length);
  const driverIds: (string | null)[] = [];
  const values = new Float64Array(rows.length * signalColumns.length);
  for (const [r, row] of rows.entries()) {
    timesMs[r] = row[0] as number;
    driverIds.push(row[1] as string | null);
    const to = r * signalColumns.length;
    for (let s = 0; s < signalColumns.length; s++) {
      const value = row[s + 2] as number | boolean | null;
      values[to + s] = value === null ? Number.NaN : Number(value);
    }
  }
  return { length: rows.length, timesMs, driverIds, values };
}
