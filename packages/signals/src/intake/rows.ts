/**
 * From cells to readings: what every format shares. Counts each row as accepted or rejected, keeps rejects whole for who
 * asks, judges lateness and clocks, and collects batches. A value outside its range, or not of its type, is not reported and counted.
 */

import { catalogue, signalCount, signalDefinition, signalNames } from '../catalogue.ts';
import { isBlankCell, parseDecimal } from '../cell/decimal.ts';
import { parseFlag } from '../cell/flag.ts';
import { LateGate } from '../order/late.ts';
import { BatchBuilder, type ReadingBatch } from '../reading.ts';
import { type AheadRow, AheadRows } from './ahead.ts';
import { type Identifier, IdentifierTable } from './identifiers.ts';
import { notReported, type SignalTarget } from './mapping.ts';
import { type IntakeReport, type Reject, type RejectReason, rejectTextMax } from './report.ts';

const minima = Float64Array.from(catalogue, (s) => s.min);
const maxima = Float64Array.from(catalogue, (s) => s.max);
const whole = Uint8Array.from(signalNames, (name) => (signalDefinition(name).type === 'real' ? 0 : 1));
const flag = Uint8Array.from(signalNames, (name) => (signalDefinition(name).type === 'flag' ? 1 : 0));

export interface RowOptions {
  readonly fileIndex: number;
  readonly fileName: string;
  readonly report: IntakeReport;
  readonly onReject?: ((reject: Reject) => void) | undefined;
  /** Judge lateness within this file, with this bound in ms. */
  readonly lateMs?: number | undefined;
}

export class Rows {
  readonly report: IntakeReport;
  readonly fileName: string;
  readonly vehicles = new IdentifierTable();
  readonly drivers = new IdentifierTable();
  readonly #options: RowOptions;
  readonly #builder: BatchBuilder;
  readonly #ahead = new AheadRows({
    handOn: (vehicle, row) => this.#slipIn(vehicle, row),
    refuse: (row) => this.#refuse(row),
  });
  #driverId: string | null = null;
  #full: ReadingBatch[] = [];

  constructor(options: RowOptions) {
    this.#options = options;
    this.report = options.report;
    this.fileName = options.fileName;
    this.#builder = new BatchBuilder(options.fileIndex);
  }

  /** Begins a row: nothing reported yet. */
  begin(): void {
    this.report.rowsRead += 1;
    this.#builder.begin();
    this.#driverId = null;
  }

  /** Takes a signal's cell that is not empty. */
  cell(target: SignalTarget, bytes: Uint8Array, start: number, end: number): void {
    const { signal, reader } = target;
    const value =
      reader !== null
        ? reader.fromBytes(bytes, start, end)
        : flag[signal] === 1
          ? parseFlag(bytes, start, end)
          : parseDecimal(bytes, start, end);
    if (!this.#set(signal, value) && value !== notReported && !isBlankCell(bytes, start, end)) {
      this.report.unusableCells[signal]! += 1;
    }
  }

  /** Takes a signal's value that came as a number. */
  number(target: SignalTarget, given: number): void {
    const value = target.reader === null ? given : target.reader.fromNumber(given);
    if (!this.#set(target.signal, value) && value !== notReported) this.report.unusableCells[target.signal]! += 1;
  }

  unusable(target: SignalTarget): void {
    this.report.unusableCells[target.signal]! += 1;
  }

  driver(driver: Identifier | null): void {
    if (driver === null) this.report.unusableDriverIds += 1;
    else this.#driverId = driver.text;
  }

  /**
   * Ends the row as accepted, unless it is late, or its clock has to be judged by the rows to come; `source[start, end)` is
   * the row as it stood in the file.
   */
  accept(vehicle: Identifier, timeMs: number, line: number, source: Uint8Array, start: number, end: number): void {
    const { lateMs } = this.#options;
    if (lateMs !== undefined) {
      vehicle.gate ??= new LateGate(lateMs);
      const { gate } = vehicle;
      const established = gate.newestMs > Number.NEGATIVE_INFINITY;
      if (!gate.accept(timeMs)) {
        this.reject('late', line, source, start, end);
        return;
      }
      if (!this.#ahead.isEmpty) this.#ahead.settle(vehicle, gate);
      if (established && gate.isUnsettled(timeMs)) {
        const text = this.#options.onReject === undefined ? { text: '', cut: false } : textOf(source, start, end);
        const held = { timeMs, driverId: this.#driverId, values: this.#valuesAtHand(), line, ...text };
        if (this.#ahead.hold(vehicle, held)) return;
      }
    }
    this.#add(vehicle.text, this.#driverId, timeMs);
  }

  /** Counts a row as rejected; the caller has begun it. */
  reject(reason: RejectReason, line: number, source: Uint8Array, start: number, end: number): void {
    this.report.rejected[reason] += 1;
    const { onReject } = this.#options;
    if (onReject === undefined) return;
    onReject({ fileName: this.fileName, line, reason, ...textOf(source, start, end) });
  }

  /** Batches that are full. */
  takeFull(): ReadingBatch[] {
    const full = this.#full;
    if (full.length > 0) this.#full = [];
    return full;
  }

  /** Everything that is left, at the end of the file. */
  takeRest(): ReadingBatch[] {
    this.#ahead.release();
    this.#noteFull(this.vehicles, 'vehicles', 'vehicleId', 'rows of others are rejected');
    this.#noteFull(this.drivers, 'drivers', 'driverId', 'others are taken as not reported');
    const rest = this.takeFull();
    if (this.#builder.length > 0) rest.push(this.#builder.take());
    return rest;
  }

  #add(vehicleId: string, driverId: string | null, timeMs: number): void {
    this.report.rowsAccepted += 1;
    this.#builder.add(vehicleId, driverId, timeMs);
    if (this.#builder.full) this.#full.push(this.#builder.take());
  }

  /** Adds a row that was held back before the row at hand, which stands in the builder already and makes room. */
  #slipIn(vehicle: Identifier, row: AheadRow): void {
    const atHand = this.#valuesAtHand();
    this.#builder.values.set(row.values, this.#builder.offset);
    this.#add(vehicle.text, row.driverId, row.timeMs);
    this.#builder.values.set(atHand, this.#builder.offset);
  }

  #valuesAtHand(): Float64Array {
    const { values, offset } = this.#builder;
    return values.slice(offset, offset + signalCount);
  }

  #noteFull(table: IdentifierTable, many: string, column: string, rest: string): void {
    if (!table.isFull) return;
    this.report.notices.add(
      `${this.fileName}: names more ${many} than any fleet has (100,000), and ${rest}; is ${column} the right column?`,
    );
  }

  #refuse({ line, text, cut }: AheadRow): void {
    this.report.rejected.clock += 1;
    this.#options.onReject?.({ fileName: this.fileName, line, reason: 'clock', text, cut });
  }

  #set(signal: number, value: number): boolean {
    if (!(value >= minima[signal]! && value <= maxima[signal]!)) return false;
    if (whole[signal] === 1 && !Number.isInteger(value)) return false;
    const { values, offset } = this.#builder;
    values[offset + signal] = value + 0;
    return true;
  }
}

/** A row as a reject keeps it. */
function textOf(source: Uint8Array, start: number, end: number): { text: string; cut: boolean } {
  const cut = end - start > rejectTextMax;
  const stop = cut ? start + rejectTextMax : end;
  return { text: Buffer.from(source.buffer, source.byteOffset + start, stop - start).toString('utf8'), cut };
}
