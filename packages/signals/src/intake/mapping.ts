/**
 * How the columns of an input become a reading. Without a source profile the columns are the contract's field names; a
 * profile compiles to the same shape, so that the row path is one.
 */

import { signalIndex, signalNames } from '../catalogue.ts';
import { parseRfc3339 } from '../cell/rfc3339.ts';
import type { RejectReason } from './report.ts';

/** What a {@link CellReader} gives for a cell that says, in its own way, that nothing was reported. */
export const notReported = Number.POSITIVE_INFINITY;

/** Turns a cell into a value in the catalogue's unit: NaN where it cannot be used, {@link notReported} where it is none. */
export interface CellReader {
  fromBytes(bytes: Uint8Array, start: number, end: number): number;
  fromNumber(value: number): number;
}

/** Turns a cell into ms since the epoch, or NaN; `failure` then says why. */
export interface TimeReader {
  readonly failure: RejectReason;
  fromBytes(bytes: Uint8Array, start: number, end: number): number;
  fromNumber(value: number): number;
}

/** A signal that a column (or a channel of a narrow layout) carries. */
export interface SignalTarget {
  readonly signal: number;
  /** Null reads the cell as the contract spells it. */
  readonly reader: CellReader | null;
}

export interface Mapping {
  /** ASCII byte between the cells of CSV. */
  readonly delimiter: number;
  readonly timeColumn: string;
  readonly time: TimeReader;
  readonly vehicleIdColumn: string;
  readonly driverIdColumn: string | null;
  /** By column in a wide layout, by channel in a narrow one. */
  readonly signals: ReadonlyMap<string, readonly SignalTarget[]>;
  readonly narrow: {
    readonly channelColumn: string;
    readonly valueColumn: string;
    readonly driverChannel: string | null;
  } | null;
  /** Whether a cell of an id says that nothing was reported; an empty one always does. */
  readonly isNotReported: (text: string) => boolean;
  /** Whether text in JSON is read as a cell of CSV would be, and a number may be an id. */
  readonly lenientJson: boolean;
}

const rfc3339: TimeReader = {
  failure: 'time',
  fromBytes: parseRfc3339,
  fromNumber: () => Number.NaN,
};

/** The contract's own columns. */
export const contractMapping: Mapping = {
  delimiter: 44,
  timeColumn: 'time',
  time: rfc3339,
  vehicleIdColumn: 'vehicleId',
  driverIdColumn: 'driverId',
  signals: new Map(signalNames.map((name) => [name, [{ signal: signalIndex[name], reader: null }]])),
  narrow: null,
  isNotReported: (text) => text === '',
  lenientJson: false,
};
