/**
 * One file as the store takes it: readings in strictly increasing time a vehicle, one a vehicle and instant, in batches. Within the
 * file the contract's rules hold: lateness is judged, duplicates count once, two rows of one instant are merged. The same bytes
 * under the same options give the same rows and the same rejects in the same order, however the bytes were cut: a load that was
 * interrupted goes on by counting both.
 */
import {
  BatchBuilder,
  type ByteSource,
  type InputFormat,
  type IntakeReport,
  type Mapping,
  type ReadingBatch,
  type Reject,
  ReorderBuffer,
  readReadings,
  signalCount,
} from '@gearhold/signals';

/** Rows of a vehicle that are handed on at once. */
const blockRows = 64;

/** Rows of a batch: one transaction of the store. */
const batchRows = 16_384;

export interface OrderedRowsOptions {
  readonly fileName: string;
  readonly format: InputFormat;
  /** True: the name says gzip; left out: the first bytes tell. */
  readonly gzip?: true | undefined;
  readonly mapping: Mapping;
  /** Bound on lateness within the file, ms of event time. */
  readonly lateMs: number;
  readonly report: IntakeReport;
  readonly onReject: (reject: Reject) => void;
  /** What is kept of a driver's id; null = not reported. */
  readonly driver: (driverId: string | null) => string | null;
  /** For tests. Defaults to 16,384. */
  readonly batchRows?: number;
}

/** An input that cannot be read to its end ends early, and stands in `report.unreadable`. */
export async function* orderedRows(bytes: ByteSource, options: OrderedRowsOptions): AsyncGenerator<ReadingBatch> {
  const { report, lateMs, driver } = options;
  const builder = new BatchBuilder(0, options.batchRows ?? batchRows);
  let full: ReadingBatch[] = [];
  const order = new ReorderBuffer({
    counts: report,
    lateMs,
    blockRows,
    emit: (vehicleId, timeMs, driverId, values, offset) => {
      builder.begin();
      const to = builder.offset;
      for (let s = 0; s < signalCount; s++) builder.values[to + s] = values[offset + s]!;
      builder.add(vehicleId, driver(driverId), timeMs);
      if (builder.full) full.push(builder.take());
    },
    // The reader judged lateness already: this is only a row behind more rows than the order stage holds.
    onLate: () => {
      report.rejected.late += 1;
      report.rowsAccepted -= 1;
    },
  });
  const { fileName, format, gzip, mapping, onReject } = options;
  const reading = {
    fileName,
    fileIndex: 0,
    report,
    onReject,
    lateMs,
    format,
    gzip,
    mapping,
    unreadable: 'end',
  } as const;
  for await (const batch of readReadings(bytes, reading)) {
    toMicroseconds(batch);
    order.push(batch);
    if (full.length === 0) continue;
    yield* full;
    full = [];
  }
  order.flush();
  yield* full;
  if (builder.length > 0) yield builder.take();
}

/** The store tells instants apart to the microsecond: rows closer than that are one, and merged as such. */
function toMicroseconds({ length, timesMs }: ReadingBatch): void {
  for (let row = 0; row < length; row++) timesMs[row] = Math.round(timesMs[row]! * 1000) / 1000;
}

/** A batch without its first rows. */
export function withoutFirst(batch: ReadingBatch, rows: number): ReadingBatch {
  return {
    length: batch.length - rows,
    fileIndex: batch.fileIndex,
    vehicleIds: batch.vehicleIds.slice(rows),
    driverIds: batch.driverIds.slice(rows),
    timesMs: batch.timesMs.subarray(rows),
    values: batch.values.subarray(rows * signalCount),
  };
}
