/**
 * CSV rows to readings: the header says which cell is what, every record after it is a row. Blanks around a column's name
 * are no part of it. A column that stands twice makes the file unreadable where it is one that is used.
 */
import type { CsvHandler, CsvRecord } from './csv-record.ts';
import { columnsMax } from './csv-record.ts';
import type { Mapping, SignalTarget } from './mapping.ts';
import type { RejectReason } from './report.ts';
import type { Rows } from './rows.ts';
import { InputUnreadableError } from './unreadable.ts';

interface Column {
  readonly cell: number;
  readonly target: SignalTarget;
}

/** Where things are in a record; -1 = no such column. */
interface Header {
  readonly count: number;
  /** Whether every column is there that a row needs. */
  readonly usable: boolean;
  readonly time: number;
  readonly vehicleId: number;
  readonly driverId: number;
  readonly channel: number;
  readonly value: number;
  readonly columns: readonly Column[];
}

export class CsvRows implements CsvHandler {
  readonly #rows: Rows;
  readonly #mapping: Mapping;
  #header: Header | null = null;

  constructor(rows: Rows, mapping: Mapping) {
    this.#rows = rows;
    this.#mapping = mapping;
  }

  get hasHeader(): boolean {
    return this.#header !== null;
  }

  record(record: CsvRecord): void {
    const header = this.#header;
    if (header === null) {
      this.#header = this.#readHeader(record);
      return;
    }
    const rows = this.#rows;
    const mapping = this.#mapping;
    const { bytes, starts, ends } = record;
    rows.begin();
    if (record.count !== header.count || !header.usable) {
      this.#rejectRecord('columns', record);
      return;
    }
    const timeMs = mapping.time.fromBytes(bytes, starts[header.time]!, ends[header.time]!);
    if (Number.isNaN(timeMs)) {
      this.#rejectRecord(mapping.time.failure, record);
      return;
    }
    const vehicle = rows.vehicles.fromBytes(bytes, starts[header.vehicleId]!, ends[header.vehicleId]!);
    if (vehicle === null || mapping.isNotReported(vehicle.text)) {
      this.#rejectRecord('vehicleId', record);
      return;
    }
    if (header.driverId >= 0) this.#driver(bytes, starts[header.driverId]!, ends[header.driverId]!);
    for (const { cell, target } of header.columns) {
      const start = starts[cell]!;
      const end = ends[cell]!;
      if (end > start) rows.cell(target, bytes, start, end);
    }
    if (header.channel >= 0) this.#channel(record, header);
    rows.accept(vehicle, timeMs, record.line, record.source, record.sourceStart, record.sourceEnd);
  }

  reject(reason: RejectReason, line: number, source: Uint8Array, start: number, end: number): void {
    if (this.#header === null) {
      throw new InputUnreadableError(
        'header',
        this.#rows.fileName,
        reason === 'too-long'
          ? 'has a header row of more than 1 MiB; a header row of column names is expected'
          : `has no readable header row (line ${line}); a header row of column names is expected`,
      );
    }
    this.#rows.report.rowsRead += 1;
    this.#rows.reject(reason, line, source, start, end);
  }

  #rejectRecord(reason: RejectReason, record: CsvRecord): void {
    this.#rows.reject(reason, record.line, record.source, record.sourceStart, record.sourceEnd);
  }

  #driver(bytes: Uint8Array, start: number, end: number): void {
    if (end === start) return;
    const driver = this.#rows.drivers.fromBytes(bytes, start, end);
    if (driver === null || !this.#mapping.isNotReported(driver.text)) this.#rows.driver(driver);
  }

  #channel(record: CsvRecord, header: Header): void {
    const { narrow, signals } = this.#mapping;
    const { bytes, starts, ends } = record;
    const channel = textOf(bytes, starts[header.channel]!, ends[header.channel]!);
    const start = starts[header.value]!;
    const end = ends[header.value]!;
    const targets = signals.get(channel);
    if (targets !== undefined && end > start) for (const target of targets) this.#rows.cell(target, bytes, start, end);
    if (channel === narrow?.driverChannel) this.#driver(bytes, start, end);
    else if (targets === undefined) this.#rows.report.nameUnknownChannel(channel);
  }

  #readHeader(record: CsvRecord): Header {
    const { fileName, report } = this.#rows;
    const mapping = this.#mapping;
    if (record.count > columnsMax) {
      throw new InputUnreadableError(
        'header',
        fileName,
        `has more than ${columnsMax} columns; is the delimiter right?`,
      );
    }
    const names: string[] = [];
    for (let c = 0; c < record.count; c++) names.push(textOf(record.bytes, record.starts[c]!, record.ends[c]!).trim());
    const used = new Set<string>();
    const columns: Column[] = [];
    const single = [mapping.timeColumn, mapping.vehicleIdColumn, mapping.driverIdColumn];
    if (mapping.narrow !== null) single.push(mapping.narrow.channelColumn, mapping.narrow.valueColumn);
    for (const [cell, name] of names.entries()) {
      const targets = mapping.narrow === null ? mapping.signals.get(name) : undefined;
      if (targets === undefined && !single.includes(name)) {
        report.nameUnknownColumn(name);
        continue;
      }
      if (used.has(name)) {
        throw new InputUnreadableError(
          'duplicate-column',
          fileName,
          `has two columns named ${JSON.stringify(name)}; which one is meant cannot be known, so remove or rename one`,
        );
      }
      used.add(name);
      for (const target of targets ?? []) columns.push({ cell, target });
    }
    const missing = single.filter((name) => name !== null && name !== mapping.driverIdColumn && !used.has(name));
    for (const name of missing) {
      report.notices.add(`${fileName}: there is no column ${JSON.stringify(name)}, so no row of it can be used`);
    }
    const place = (name: string | null | undefined) => (name == null ? -1 : names.indexOf(name));
    return {
      count: names.length,
      usable: missing.length === 0,
      time: place(mapping.timeColumn),
      vehicleId: place(mapping.vehicleIdColumn),
      driverId: place(mapping.driverIdColumn),
      channel: place(mapping.narrow?.channelColumn),
      value: place(mapping.narrow?.valueColumn),
      columns,
    };
  }
}

function textOf(bytes: Uint8Array, start: number, end: number): string {
  return Buffer.from(bytes.buffer, bytes.byteOffset + start, end - start).toString('utf8');
}
