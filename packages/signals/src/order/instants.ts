/**
 * Rows held by instant, in pooled columns, and the rule for two rows of one vehicle and instant: exact duplicates count
 * once, everything else is merged signal by signal, and a signal on which they disagree is not reported at that instant
 * and counted as a conflict (the driver likewise). The merge does not depend on the order of the rows.
 */
import { signalCount } from '../catalogue.ts';

/** What the order stage counts; shared by all vehicles of a run. */
export interface OrderCounts {
  /** Rows that repeated another row of the same vehicle and instant exactly. */
  duplicates: number;
  /** Signals (and drivers) of one vehicle and instant on which rows disagreed. */
  conflicts: number;
}

/** Takes one ordered row; the values lie at `offset` and are the stage's own, so what is kept must be copied. */
export type EmitRow = (timeMs: number, driverId: string | null, values: Float64Array, offset: number) => void;

/** Bit of the conflict mask that stands for the driver; signal `s` has bit `s`. */
const driverBit = 1 << signalCount;

/**
 * How many different rows of one instant are remembered to recognise a repeat. Beyond that a repeat still merges to the
 * same values; it is only not counted as a duplicate.
 */
const remembered = 256;

export class InstantPool {
  #capacity: number;
  #free: Int32Array;
  #freeCount: number;
  timesMs: Float64Array;
  values: Float64Array;
  driverIds: (string | null)[];
  #conflicts: Int32Array;
  /** Hashes of the different rows of an instant, from the second one on; null while there was one. */
  #seen: (number[] | null)[];

  constructor(capacity: number) {
    this.#capacity = capacity;
    this.#free = new Int32Array(capacity);
    for (let i = 0; i < capacity; i++) this.#free[i] = capacity - 1 - i;
    this.#freeCount = capacity;
    this.timesMs = new Float64Array(capacity);
    this.values = new Float64Array(capacity * signalCount);
    this.driverIds = new Array(capacity).fill(null);
    this.#conflicts = new Int32Array(capacity);
    this.#seen = new Array(capacity).fill(null);
  }

  /** Copies a row into a free slot and returns the slot; the pool grows when none is free. */
  add(timeMs: number, driverId: string | null, values: Float64Array, offset: number): number {
    if (this.#freeCount === 0) this.#grow();
    this.#freeCount -= 1;
    const slot = this.#free[this.#freeCount]!;
    this.timesMs[slot] = timeMs;
    this.driverIds[slot] = driverId;
    const own = this.values;
    const to = slot * signalCount;
    for (let s = 0; s < signalCount; s++) own[to + s] = values[offset + s]!;
    return slot;
  }

  release(slot: number): void {
    this.driverIds[slot] = null;
    this.#conflicts[slot] = 0;
    this.#seen[slot] = null;
    this.#free[this.#freeCount] = slot;
    this.#freeCount += 1;
  }

  /** Merges a row of the same instant into a slot. */
  merge(slot: number, driverId: string | null, values: Float64Array, offset: number, counts: OrderCounts): void {
    if (this.#isRepeat(slot, driverId, values, offset)) {
      counts.duplicates += 1;
      return;
    }
    const own = this.values;
    const to = slot * signalCount;
    let conflicts = this.#conflicts[slot]!;
    for (let s = 0; s < signalCount; s++) {
      const value = values[offset + s]!;
      if (Number.isNaN(value) || (conflicts & (1 << s)) !== 0) continue;
      const held = own[to + s]!;
      if (Number.isNaN(held)) own[to + s] = value;
      else if (held !== value) {
        own[to + s] = Number.NaN;
        conflicts |= 1 << s;
        counts.conflicts += 1;
      }
    }
    if (driverId !== null && (conflicts & driverBit) === 0) {
      const held = this.driverIds[slot];
      if (held === null) this.driverIds[slot] = driverId;
      else if (held !== driverId) {
        this.driverIds[slot] = null;
        conflicts |= driverBit;
        counts.conflicts += 1;
      }
    }
    this.#conflicts[slot] = conflicts;
  }

  #isRepeat(slot: number, driverId: string | null, values: Float64Array, offset: number): boolean {
    const seen = this.#seen[slot];
    if (seen == null) {
      // The slot still holds the one row that came, so it can be compared value by value.
      if (driverId === this.driverIds[slot] && sameValues(this.values, slot * signalCount, values, offset)) return true;
      const first = rowHash(this.driverIds[slot]!, this.values, slot * signalCount);
      this.#seen[slot] = [first, rowHash(driverId, values, offset)];
      return false;
    }
    const hash = rowHash(driverId, values, offset);
    if (seen.includes(hash)) return true;
    if (seen.length < remembered) seen.push(hash);
    return false;
  }

  #grow(): void {
    const old = this.#capacity;
    const capacity = old * 2;
    const grow = <T extends Float64Array | Int32Array>(from: T, to: T): T => {
      to.set(from);
      return to;
    };
    this.timesMs = grow(this.timesMs, new Float64Array(capacity));
    this.values = grow(this.values, new Float64Array(capacity * signalCount));
    this.#conflicts = grow(this.#conflicts, new Int32Array(capacity));
    this.#free = new Int32Array(capacity);
    for (let i = 0; i < old; i++) {
      this.#free[i] = capacity - 1 - i;
      this.driverIds.push(null);
      this.#seen.push(null);
    }
    this.#freeCount = old;
    this.#capacity = capacity;
  }
}

function sameValues(a: Float64Array, aOffset: number, b: Float64Array, bOffset: number): boolean {
  for (let s = 0; s < signalCount; s++) {
    const x = a[aOffset + s]!;
    const y = b[bOffset + s]!;
    if (x !== y && !(Number.isNaN(x) && Number.isNaN(y))) return false;
  }
  return true;
}

const word = new Float64Array(1);
const halves = new Int32Array(word.buffer);

/** 53 bits over driver and values, for telling rows of one instant apart; NaN and -0 in one form each. */
function rowHash(driverId: string | null, values: Float64Array, offset: number): number {
  let low = driverId === null ? 1 : 2;
  let high = 0x9e3779b9 | 0;
  const mix = (a: number) => {
    low = Math.imul(low ^ a, 0x85ebca6b);
    low ^= low >>> 13;
    high = Math.imul(high ^ low ^ a, 0xc2b2ae35);
    high ^= high >>> 16;
  };
  for (let s = 0; s < signalCount; s++) {
    const value = values[offset + s]!;
    if (Number.isNaN(value)) {
      mix(0x7ff80000);
      continue;
    }
    word[0] = value + 0;
    mix(halves[0]!);
    mix(halves[1]!);
  }
  if (driverId !== null) for (let i = 0; i < driverId.length; i++) mix(driverId.charCodeAt(i));
  return (high >>> 0) * 0x200000 + (low >>> 11);
}
