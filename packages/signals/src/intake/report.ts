/**
 * What became of the rows of an input: counted, never silent. One report may serve one file or several; reports of files
 * read apart are added together with {@link IntakeReport.add}.
 */
import { type SignalName, signalCount, signalNames } from '../catalogue.ts';
import type { OrderCounts } from '../order/instants.ts';
import type { InputUnreadableError } from './unreadable.ts';

/** Why a row was rejected, and how it is said. */
export const rejectReasons = {
  columns: 'it has another number of columns than the header, or a required column is missing',
  quotes: 'its quotes do not follow RFC 4180',
  'too-long': 'it is longer than a row may be',
  'not-json': 'it is not one JSON object',
  'cut-off': 'the input ended inside it',
  time: 'its time is missing or not in the expected form',
  'time-ambiguous': 'its local time happens twice, and nothing says which one is meant',
  'time-skipped': 'its local time never happens: the clocks were put forward over it',
  vehicleId: 'its vehicleId is missing, longer than 64 characters, not UTF-8, or holds control characters',
  late: 'it came later than the bound on lateness allows',
  clock: 'its time lies more than an hour ahead of the rows before and after it',
} as const;

export type RejectReason = keyof typeof rejectReasons;

/** One rejected row, whole. */
export interface Reject {
  readonly fileName: string;
  /** Line the row begins at, from 1; for a JSON array the line its element begins at. */
  readonly line: number;
  readonly reason: RejectReason;
  /** The row as it stood in the file, without its line end; at most {@link rejectTextMax} bytes of it. */
  readonly text: string;
  /** Whether `text` is only the beginning. */
  readonly cut: boolean;
}

/** Longest row text that a reject keeps, in bytes. */
export const rejectTextMax = 65_536;

/** How many unknown column or channel names are remembered, and how much of each. */
const namesMax = 1000;
const nameLengthMax = 200;

export class IntakeReport implements OrderCounts {
  rowsRead = 0;
  rowsAccepted = 0;
  duplicates = 0;
  conflicts = 0;
  readonly rejected: Record<RejectReason, number>;
  /** Cells that were reported but could not be used, one count a signal in catalogue order. */
  readonly unusableCells: Float64Array = new Float64Array(signalCount);
  unusableDriverIds = 0;
  /** Columns (or JSON keys) that nothing reads, in order of appearance. */
  readonly unknownColumns = new Set<string>();
  /** Values of the signal column of a narrow layout that the profile does not map. */
  readonly unknownChannels = new Set<string>();
  /** Sentences about a whole file that a person should read: a missing column, for example. */
  readonly notices = new Set<string>();
  /** Files that could not be read to their end. */
  readonly unreadable: InputUnreadableError[] = [];

  constructor() {
    this.rejected = Object.fromEntries(Object.keys(rejectReasons).map((r) => [r, 0])) as Record<RejectReason, number>;
  }

  get rowsRejected(): number {
    let sum = 0;
    for (const count of Object.values(this.rejected)) sum += count;
    return sum;
  }

  /** Rows rejected as late. */
  get late(): number {
    return this.rejected.late;
  }

  /** Unusable cells of the signals that had any. */
  get unusableBySignal(): Partial<Record<SignalName, number>> {
    const counts: Partial<Record<SignalName, number>> = {};
    for (const [s, name] of signalNames.entries()) {
      if (this.unusableCells[s]! > 0) counts[name] = this.unusableCells[s]!;
    }
    return counts;
  }

  nameUnknownColumn(name: string): void {
    remember(this.unknownColumns, name);
  }

  nameUnknownChannel(name: string): void {
    remember(this.unknownChannels, name);
  }

  /** Adds what another report counted. */
  add(other: IntakeReport): void {
    this.rowsRead += other.rowsRead;
    this.rowsAccepted += other.rowsAccepted;
    this.duplicates += other.duplicates;
    this.conflicts += other.conflicts;
    this.unusableDriverIds += other.unusableDriverIds;
    for (const reason of Object.keys(rejectReasons) as RejectReason[]) this.rejected[reason] += other.rejected[reason];
    for (let s = 0; s < signalCount; s++) this.unusableCells[s]! += other.unusableCells[s]!;
    for (const name of other.unknownColumns) this.nameUnknownColumn(name);
    for (const name of other.unknownChannels) this.nameUnknownChannel(name);
    for (const notice of other.notices) this.notices.add(notice);
    this.unreadable.push(...other.unreadable);
  }
}

function remember(names: Set<string>, name: string): void {
  if (names.size >= namesMax) return;
  if (name.length <= nameLengthMax) names.add(name);
  // By way of bytes, because a slice would keep the whole of a long name in memory.
  else names.add(`${Buffer.from(name.slice(0, nameLengthMax)).toString()}...`);
}
