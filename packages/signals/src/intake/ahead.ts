/**
 * Rows whose time lies far ahead of the rows before them, held back until the rows to come tell whether the truck was away or
 * its clock was wrong: a jump that is confirmed, or that the file ends after, is handed on; one that is refuted is rejected.
 * What is held is bounded; beyond it a row is handed on at once, and the stages behind tell no episode across the jump.
 */
import type { LateGate } from '../order/late.ts';
import type { Identifier } from './identifiers.ts';

/** A row held back, with what a reject keeps of it. */
export interface AheadRow {
  readonly timeMs: number;
  readonly driverId: string | null;
  readonly values: Float64Array;
  readonly line: number;
  readonly text: string;
  readonly cut: boolean;
}

export interface AheadSink {
  /** The jump is believed. */
  handOn(vehicle: Identifier, row: AheadRow): void;
  /** The clock was wrong. */
  refuse(row: AheadRow): void;
}

/** At most so many rows of a file are held, and so many characters of their text. */
const rowsMax = 4096;
const textMax = 8_388_608;

export class AheadRows {
  readonly #sink: AheadSink;
  readonly #held = new Map<Identifier, AheadRow[]>();
  #rows = 0;
  #text = 0;

  constructor(sink: AheadSink) {
    this.#sink = sink;
  }

  /** Takes a row to hold; false where no more can be held. */
  hold(vehicle: Identifier, row: AheadRow): boolean {
    if (this.#rows >= rowsMax || this.#text + row.text.length > textMax) return false;
    const rows = this.#held.get(vehicle);
    if (rows === undefined) this.#held.set(vehicle, [row]);
    else rows.push(row);
    this.#rows += 1;
    this.#text += row.text.length;
    return true;
  }

  /** After the gate has taken another row of the vehicle: lets go what that row settled. */
  settle(vehicle: Identifier, gate: LateGate): void {
    const rows = this.#held.get(vehicle);
    if (rows === undefined) return;
    const kept: AheadRow[] = [];
    for (const row of rows) {
      if (gate.isUnsettled(row.timeMs)) {
        kept.push(row);
        continue;
      }
      this.#forget(row);
      if (row.timeMs <= gate.newestMs) this.#sink.handOn(vehicle, row);
      else this.#sink.refuse(row);
    }
    if (kept.length === 0) this.#held.delete(vehicle);
    else if (kept.length < rows.length) this.#held.set(vehicle, kept);
  }

  /** The file has ended: what nothing refuted is believed. */
  release(): void {
    for (const [vehicle, rows] of this.#held) for (const row of rows) this.#sink.handOn(vehicle, row);
    this.#held.clear();
    this.#rows = 0;
    this.#text = 0;
  }

  get isEmpty(): boolean {
    return this.#rows === 0;
  }

  #forget(row: AheadRow): void {
    this.#rows -= 1;
    this.#text -= row.text.length;
  }
}
