/**
 * Puts the rows of one vehicle of one file into strictly increasing time. A row is held until no acceptable row can come
 * at or before its instant, so that, where none is late, arrival order changes nothing. Rows that arrive in order cost
 * one copy. Times are ms since the epoch.
 */
import { signalCount } from '../catalogue.ts';
import { type EmitRow, InstantPool, type OrderCounts } from './instants.ts';
import { LateGate, lateMsDefault } from './late.ts';

/**
 * At most this many instants are held, or 50 a second of the bound if that is more; beyond it the oldest leaves early
 * and rows behind it are late. Common practice gives trucks at most 10 rows a second: this bounds memory, not trucks.
 */
const heldMin = 65_536;
const heldPerMs = 0.05;

export class VehicleOrder {
  readonly #gate: LateGate;
  readonly #counts: OrderCounts;
  readonly #emit: EmitRow;
  readonly #heldMax: number;
  readonly #blockRows: number;
  /** A vehicle's rows lie together: they are handed on one after the other. */
  readonly #pool = new InstantPool(2);
  /** Ring of pool slots in time order; its length is a power of two. */
  #ring: number[] = new Array(8).fill(0);
  #head = 0;
  #held = 0;
  /** Time of the newest row held. */
  #newestMs = Number.NEGATIVE_INFINITY;
  /** Time of the last row of the block that goes out next; Infinity while there is no whole block. */
  #blockEndMs = Number.POSITIVE_INFINITY;
  /** Everything up to here has been emitted. */
  #emittedMs = Number.NEGATIVE_INFINITY;

  /** `blockRows`: rows that no other can come before are held until there are as many. Changes nothing but the moment. */
  constructor(counts: OrderCounts, emit: EmitRow, boundMs: number = lateMsDefault, blockRows = 1) {
    this.#gate = new LateGate(boundMs);
    this.#counts = counts;
    this.#emit = emit;
    this.#heldMax = Math.max(heldMin, boundMs * heldPerMs);
    this.#blockRows = blockRows;
  }

  /** Instants held back at the moment. */
  get held(): number {
    return this.#held;
  }

  /** Takes one row (copied); false means that it is late and was left out. */
  push(timeMs: number, driverId: string | null, values: Float64Array, offset: number): boolean {
    if (timeMs <= this.#emittedMs || !this.#gate.accept(timeMs)) return false;
    const pool = this.#pool;
    let place = this.#held;
    if (place > 0 && timeMs <= this.#newestMs) {
      place = this.#placeOf(timeMs);
      const slot = this.#slotAt(place);
      if (pool.timesMs[slot] === timeMs) {
        pool.merge(slot, driverId, values, offset, this.#counts);
        return true;
      }
    }
    this.#insert(place, pool.add(timeMs, driverId, values, offset));
    if (this.#blockEndMs < this.#gate.oldestAcceptedMs) this.#emitDue();
    if (this.#held > this.#heldMax) {
      this.#emitDue();
      if (this.#held > this.#heldMax) this.#emitOldest();
      this.#findBlockEnd();
    }
    return true;
  }

  /** Emits what is held: the end of the input. */
  flush(): void {
    while (this.#held > 0) this.#emitOldest();
  }

  /** First place whose time is at or after `timeMs`; there is one. */
  #placeOf(timeMs: number): number {
    let low = 0;
    let high = this.#held - 1;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (this.#timeAt(middle) < timeMs) low = middle + 1;
      else high = middle;
    }
    return low;
  }

  #insert(place: number, slot: number): void {
    if (this.#held === this.#ring.length) this.#grow();
    const ring = this.#ring;
    const mask = ring.length - 1;
    for (let i = this.#held; i > place; i--) ring[(this.#head + i) & mask] = ring[(this.#head + i - 1) & mask]!;
    ring[(this.#head + place) & mask] = slot;
    this.#held += 1;
    if (place === this.#held - 1) this.#newestMs = this.#timeAt(place);
    if (place < this.#blockRows) this.#findBlockEnd();
  }

  #findBlockEnd(): void {
    const last = this.#blockRows - 1;
    this.#blockEndMs = last < this.#held ? this.#timeAt(last) : Number.POSITIVE_INFINITY;
  }

  #grow(): void {
    const old = this.#ring;
    const grown: number[] = new Array(old.length * 2).fill(0);
    for (let i = 0; i < this.#held; i++) grown[i] = old[(this.#head + i) & (old.length - 1)]!;
    this.#ring = grown;
    this.#head = 0;
  }

  #slotAt(place: number): number {
    return this.#ring[(this.#head + place) & (this.#ring.length - 1)]!;
  }

  #timeAt(place: number): number {
    return this.#pool.timesMs[this.#slotAt(place)]!;
  }

  /** Emits every row that no acceptable row can come at or before. */
  #emitDue(): void {
    const before = this.#gate.oldestAcceptedMs;
    while (this.#held > 0 && this.#timeAt(0) < before) this.#emitOldest();
    this.#findBlockEnd();
  }

  #emitOldest(): void {
    const pool = this.#pool;
    const slot = this.#ring[this.#head]!;
    this.#head = (this.#head + 1) & (this.#ring.length - 1);
    this.#held -= 1;
    this.#emittedMs = pool.timesMs[slot]!;
    this.#emit(this.#emittedMs, pool.driverIds[slot]!, pool.values, slot * signalCount);
    pool.release(slot);
  }
}
