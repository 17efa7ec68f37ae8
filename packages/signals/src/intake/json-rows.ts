/**
 * JSON objects to readings, for NDJSON lines and elements of an array alike. Without a profile a signal is a number, a
 * two-state signal also `true` or `false`; text there is not usable. With a profile text is read as a cell of CSV would be.
 */

import { signalDefinition, signalNames } from '../catalogue.ts';
import type { Identifier, IdentifierTable } from './identifiers.ts';
import type { TextHandler } from './lines.ts';
import type { Mapping, SignalTarget } from './mapping.ts';
import type { RejectReason } from './report.ts';
import type { Rows } from './rows.ts';

type Json = Record<string, unknown>;

export class JsonRows implements TextHandler {
  readonly #rows: Rows;
  readonly #mapping: Mapping;
  readonly #named: ReadonlySet<string>;
  #cell = Buffer.alloc(256);

  constructor(rows: Rows, mapping: Mapping) {
    this.#rows = rows;
    this.#mapping = mapping;
    const named = [mapping.timeColumn, mapping.vehicleIdColumn, mapping.driverIdColumn ?? mapping.timeColumn];
    if (mapping.narrow !== null) named.push(mapping.narrow.channelColumn, mapping.narrow.valueColumn);
    this.#named = new Set(named);
  }

  text(bytes: Buffer, start: number, end: number, line: number): void {
    this.#rows.begin();
    const reason = this.#read(bytes, start, end, line);
    if (reason !== null) this.#rows.reject(reason, line, bytes, start, end);
  }

  reject(reason: RejectReason, line: number, bytes: Uint8Array, start: number, end: number): void {
    this.#rows.report.rowsRead += 1;
    this.#rows.reject(reason, line, bytes, start, end);
  }

  #read(bytes: Buffer, start: number, end: number, line: number): RejectReason | null {
    const row = objectOf(bytes.toString('utf8', start, end));
    if (row === null) return 'not-json';
    const rows = this.#rows;
    const mapping = this.#mapping;
    const timeMs = this.#time(own(row, mapping.timeColumn));
    if (Number.isNaN(timeMs)) return mapping.time.failure;
    const vehicle = this.#identifier(own(row, mapping.vehicleIdColumn), rows.vehicles);
    if (vehicle === null || vehicle === undefined) return 'vehicleId';
    if (mapping.driverIdColumn !== null) this.#driver(own(row, mapping.driverIdColumn));
    if (mapping.narrow === null) this.#wide(row);
    else this.#narrow(row, mapping.narrow);
    rows.accept(vehicle, timeMs, line, bytes, start, end);
    return null;
  }

  #wide(row: Json): void {
    for (const key in row) {
      const targets = this.#mapping.signals.get(key);
      if (targets !== undefined) for (const target of targets) this.#signal(target, row[key]);
      else if (!this.#named.has(key)) this.#rows.report.nameUnknownColumn(key);
    }
  }

  #narrow(row: Json, narrow: NonNullable<Mapping['narrow']>): void {
    for (const key in row) if (!this.#named.has(key)) this.#rows.report.nameUnknownColumn(key);
    const channel = String(own(row, narrow.channelColumn) ?? '');
    const value = own(row, narrow.valueColumn);
    const targets = this.#mapping.signals.get(channel);
    if (targets !== undefined) for (const target of targets) this.#signal(target, value);
    if (channel === narrow.driverChannel) this.#driver(value);
    else if (targets === undefined) this.#rows.report.nameUnknownChannel(channel);
  }

  #signal(target: SignalTarget, value: unknown): void {
    if (value === null || value === undefined) return;
    if (typeof value === 'number') this.#rows.number(target, value);
    else if (typeof value === 'boolean' && target.reader === null) {
      if (signalDefinition(signalNames[target.signal]!).type === 'flag') this.#rows.number(target, value ? 1 : 0);
      else this.#rows.unusable(target);
    } else if (this.#mapping.lenientJson && (typeof value === 'string' || typeof value === 'boolean')) {
      const length = this.#write(String(value));
      if (length > 0) this.#rows.cell(target, this.#cell, 0, length);
    } else this.#rows.unusable(target);
  }

  #time(value: unknown): number {
    if (typeof value === 'string') return this.#mapping.time.fromBytes(this.#cell, 0, this.#write(value));
    return typeof value === 'number' ? this.#mapping.time.fromNumber(value) : Number.NaN;
  }

  #driver(value: unknown): void {
    const driver = this.#identifier(value, this.#rows.drivers);
    if (driver !== undefined) this.#rows.driver(driver);
  }

  /** The id that a value is: null where it is not one, undefined where nothing was reported. */
  #identifier(value: unknown, table: IdentifierTable): Identifier | null | undefined {
    if (value === null || value === undefined) return undefined;
    const { lenientJson, isNotReported } = this.#mapping;
    const text = lenientJson && typeof value === 'number' ? String(value) : value;
    if (typeof text !== 'string') return null;
    return isNotReported(text) ? undefined : table.fromText(text);
  }

  #write(text: string): number {
    if (text.length * 3 > this.#cell.length) this.#cell = Buffer.alloc(text.length * 3);
    return this.#cell.write(text, 0, 'utf8');
  }
}

function objectOf(text: string): Json | null {
  try {
    const parsed: unknown = JSON.parse(text);
    return typeof parsed === 'object' && parsed !== null && !Array.isArray(parsed) ? (parsed as Json) : null;
  } catch {
    // What is not JSON is counted and kept by the caller.
    return null;
  }
}

function own(row: Json, key: string): unknown {
  return Object.hasOwn(row, key) ? row[key] : undefined;
}
