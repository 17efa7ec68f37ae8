/**
 * Rows of several files, put in order by vehicle and time in little memory: an external merge sort. Rows are collected in
 * a block; a full block is sorted and written to a scratch file as one run; at the end the runs are merged. Few rows never
 * touch the disk. Rows of one vehicle and instant come out next to each other in no particular order: merging them does
 * not depend on it.
 *
 * A row is a few 64-bit words: who (vehicle and driver as numbers of the name tables), when, which signals are present,
 * and one word a present signal. The words keep the exact bits, so what comes out is what went in.
 */

import { ScratchFile } from '@gearhold/shared';
import { signalCount } from '@gearhold/signals';

/** Words of a block: 32 MiB. */
const usualBlockWords = 4 * 1024 * 1024;
/** Words that are read back at once of each run: 256 KiB. */
const usualCursorWords = 32 * 1024;
const headWords = 3;
const rowWordsMax = headWords + signalCount;

/** Receives rows by vehicle, each vehicle's in order of time, equal times next to each other. `values` is reused. */
export interface SortedRows {
  row(vehicleId: string, driverId: string | null, timeMs: number, values: Float64Array): void;
  /** The last row of a vehicle has been given. */
  vehicleEnd(vehicleId: string): void;
}

export interface RowStoreOptions {
  /** Words of memory for a block, at least one row. Defaults to 4 Mi words, 32 MiB. */
  readonly blockWords?: number;
  /** Words of memory to read each run back. Defaults to 32 Ki words, 256 KiB. */
  readonly cursorWords?: number;
}

export class RowStore {
  readonly #words: Float64Array;
  /** The same memory as {@link #words}, two a word: low half first. */
  readonly #halves: Uint32Array;
  readonly #cursorWords: number;
  readonly #vehicles = new NameTable();
  readonly #drivers = new NameTable();
  readonly #runs: { readonly start: number; readonly words: number }[] = [];
  #scratch: ScratchFile | null = null;
  #used = 0;
  #rows = 0;

  constructor(options: RowStoreOptions = {}) {
    this.#words = new Float64Array(Math.max(rowWordsMax, options.blockWords ?? usualBlockWords));
    this.#halves = new Uint32Array(this.#words.buffer);
    this.#cursorWords = Math.max(rowWordsMax, options.cursorWords ?? usualCursorWords);
  }

  /** Runs on the disk so far. */
  get runs(): number {
    return this.#runs.length;
  }

  add(vehicleId: string, driverId: string | null, timeMs: number, values: Float64Array, offset: number): void {
    if (this.#used + rowWordsMax > this.#words.length) this.#spill();
    const words = this.#words;
    const at = this.#used;
    let next = at + headWords;
    let mask = 0;
    for (let s = 0; s < signalCount; s++) {
      const value = values[offset + s]!;
      if (Number.isNaN(value)) continue;
      mask |= 1 << s;
      words[next++] = value;
    }
    this.#halves[2 * at] = this.#vehicles.numberOf(vehicleId);
    this.#halves[2 * at + 1] = driverId === null ? 0 : this.#drivers.numberOf(driverId) + 1;
    words[at + 1] = timeMs;
    words[at + 2] = mask;
    this.#used = next;
    this.#rows += 1;
  }

  /** Gives every row, then forgets them and frees the disk. */
  drain(into: SortedRows): void {
    try {
      if (this.#runs.length === 0) this.#drainBlock(into);
      else this.#drainRuns(into);
    } finally {
      this.close();
    }
  }

  /** Frees the disk; may be called twice. */
  close(): void {
    this.#scratch?.close();
    this.#scratch = null;
    this.#runs.length = 0;
    this.#used = 0;
    this.#rows = 0;
  }

  #drainBlock(into: SortedRows): void {
    const giver = new RowGiver(this.#vehicles, this.#drivers, into);
    for (const at of this.#order()) giver.give(this.#words, this.#halves, at);
    giver.end();
  }

  #drainRuns(into: SortedRows): void {
    if (this.#used > 0) this.#spill();
    const scratch = this.#scratch!;
    const giver = new RowGiver(this.#vehicles, this.#drivers, into);
    const heap = new CursorHeap(
      this.#runs.map((run) => new RunCursor(scratch, run.start, run.words, this.#cursorWords)),
    );
    for (let cursor = heap.top(); cursor !== null; cursor = heap.top()) {
      giver.give(cursor.words, cursor.halves, cursor.at);
      cursor.advance();
      heap.sink();
    }
    giver.end();
  }

  #spill(): void {
    this.#scratch ??= new ScratchFile();
    const start = this.#scratch.length;
    const out = new Float64Array(Math.min(this.#words.length, 16 * usualCursorWords));
    // Rows are copied as raw halves: a float copy could change the bits of the two packed numbers.
    const outHalves = new Uint32Array(out.buffer);
    let filled = 0;
    const flush = () => {
      this.#scratch!.append(new Uint8Array(out.buffer, 0, filled * 8));
      filled = 0;
    };
    for (const at of this.#order()) {
      const words = rowWords(this.#words, at);
      if (filled + words > out.length) flush();
      outHalves.set(this.#halves.subarray(2 * at, 2 * (at + words)), 2 * filled);
      filled += words;
    }
    flush();
    this.#runs.push({ start, words: this.#used });
    this.#used = 0;
    this.#rows = 0;
  }

  /** Places of the block's rows by vehicle and time: gathered by vehicle, each sorted by time only where it is not yet. */
  #order(): Uint32Array {
    const { ends, places } = this.#gather();
    const words = this.#words;
    let start = 0;
    for (let vehicle = 0; vehicle < ends.length; vehicle++) {
      const end = ends[vehicle]!;
      for (let i = start + 1; i < end; i++) {
        if (words[places[i - 1]! + 1]! <= words[places[i]! + 1]!) continue;
        places.subarray(start, end).sort((a, b) => words[a + 1]! - words[b + 1]!);
        break;
      }
      start = end;
    }
    return places;
  }

  /** Counting sort by vehicle; `ends[v]` is one past the last place of vehicle `v`. */
  #gather(): { ends: Uint32Array; places: Uint32Array } {
    const ends = new Uint32Array(this.#vehicles.size);
    for (let at = 0; at < this.#used; at += rowWords(this.#words, at)) ends[this.#halves[2 * at]!]! += 1;
    let sum = 0;
    for (let vehicle = 0; vehicle < ends.length; vehicle++) {
      const count = ends[vehicle]!;
      ends[vehicle] = sum;
      sum += count;
    }
    const places = new Uint32Array(this.#rows);
    for (let at = 0; at < this.#used; at += rowWords(this.#words, at)) places[ends[this.#halves[2 * at]!]!++] = at;
    return { ends, places };
  }
}

/** Words of the row that stands at a place. */
function rowWords(words: Float64Array, at: number): number {
  let mask = words[at + 2]!;
  let count = headWords;
  for (; mask !== 0; mask &= mask - 1) count += 1;
  return count;
}

/** Names as numbers, in order of first appearance. */
class NameTable {
  readonly #numbers = new Map<string, number>();
  readonly #names: string[] = [];

  get size(): number {
    return this.#names.length;
  }

  numberOf(name: string): number {
    const known = this.#numbers.get(name);
    if (known !== undefined) return known;
    const number = this.#names.length;
    this.#numbers.set(name, number);
    this.#names.push(name);
    return number;
  }

  nameOf(number: number): string {
    return this.#names[number]!;
  }
}

/** Unpacks rows and says where a vehicle ends. */
class RowGiver {
  readonly #vehicles: NameTable;
  readonly #drivers: NameTable;
  readonly #into: SortedRows;
  readonly #values = new Float64Array(signalCount);
  #vehicle = -1;

  constructor(vehicles: NameTable, drivers: NameTable, into: SortedRows) {
    this.#vehicles = vehicles;
    this.#drivers = drivers;
    this.#into = into;
  }

  give(words: Float64Array, halves: Uint32Array, at: number): void {
    const vehicle = halves[2 * at]!;
    const driver = halves[2 * at + 1]!;
    if (vehicle !== this.#vehicle) {
      this.end();
      this.#vehicle = vehicle;
    }
    const mask = words[at + 2]!;
    let next = at + headWords;
    for (let s = 0; s < signalCount; s++) this.#values[s] = mask & (1 << s) ? words[next++]! : Number.NaN;
    const driverId = driver === 0 ? null : this.#drivers.nameOf(driver - 1);
    this.#into.row(this.#vehicles.nameOf(vehicle), driverId, words[at + 1]!, this.#values);
  }

  end(): void {
    if (this.#vehicle >= 0) this.#into.vehicleEnd(this.#vehicles.nameOf(this.#vehicle));
  }
}

/** Reads one run back, a piece at a time; stands on a row or is done. */
class RunCursor {
  readonly words: Float64Array;
  readonly halves: Uint32Array;
  at = 0;
  readonly #bytes: Uint8Array;
  readonly #scratch: ScratchFile;
  #position: number;
  #left: number;
  #filled = 0;

  constructor(scratch: ScratchFile, start: number, words: number, cursorWords: number) {
    this.words = new Float64Array(cursorWords);
    this.halves = new Uint32Array(this.words.buffer);
    this.#bytes = new Uint8Array(this.words.buffer);
    this.#scratch = scratch;
    this.#position = start;
    this.#left = words;
    this.#fill();
  }

  get done(): boolean {
    return this.at >= this.#filled;
  }

  advance(): void {
    this.at += rowWords(this.words, this.at);
    // A piece may end within a row: the rest is fetched while a whole row could still be missing.
    if (this.at + rowWordsMax > this.#filled && this.#left > 0) this.#fill();
  }

  before(other: RunCursor): boolean {
    const mine = this.halves[2 * this.at]!;
    const theirs = other.halves[2 * other.at]!;
    return mine !== theirs ? mine < theirs : this.words[this.at + 1]! < other.words[other.at + 1]!;
  }

  #fill(): void {
    this.halves.copyWithin(0, 2 * this.at, 2 * this.#filled);
    this.#filled -= this.at;
    this.at = 0;
    const count = Math.min(this.#left, this.words.length - this.#filled);
    this.#scratch.read(this.#bytes.subarray(8 * this.#filled, 8 * (this.#filled + count)), this.#position);
    this.#position += 8 * count;
    this.#left -= count;
    this.#filled += count;
  }
}

/** A binary heap whose top is the cursor with the earliest row. */
class CursorHeap {
  readonly #cursors: RunCursor[];

  constructor(cursors: readonly RunCursor[]) {
    this.#cursors = cursors.filter((cursor) => !cursor.done);
    for (let i = this.#cursors.length >> 1; i >= 0; i--) this.#sinkFrom(i);
  }

  top(): RunCursor | null {
    return this.#cursors[0] ?? null;
  }

  /** The top has moved on: puts it where it belongs, or drops it. */
  sink(): void {
    const cursors = this.#cursors;
    if (cursors[0]!.done) {
      const last = cursors.pop()!;
      if (cursors.length === 0) return;
      cursors[0] = last;
    }
    this.#sinkFrom(0);
  }

  #sinkFrom(start: number): void {
    const cursors = this.#cursors;
    let i = start;
    for (;;) {
      let child = 2 * i + 1;
      if (child >= cursors.length) return;
      if (child + 1 < cursors.length && cursors[child + 1]!.before(cursors[child]!)) child += 1;
      if (!cursors[child]!.before(cursors[i]!)) return;
      [cursors[i], cursors[child]] = [cursors[child]!, cursors[i]!];
      i = child;
    }
  }
}
