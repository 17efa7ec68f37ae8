/**
 * Vehicle and driver ids: 1 to 64 characters, none of them a control character or line break. Each id is kept once, so
 * that a million rows of a truck share one string, and found again from the bytes of a cell without decoding them. How many
 * are kept is bounded: a column of row numbers taken for ids must not fill the memory.
 */
import type { LateGate } from '../order/late.ts';

/** An id that passed, with what the reader keeps for it. */
export interface Identifier {
  readonly text: string;
  /** Lateness within this file; set by the reader for vehicles. */
  gate: LateGate | null;
}

/** The form of an id: code points are counted; U+FFFD is what a lost encoding leaves behind. */
export const identifierPattern = /^[^\p{Cc}\p{Cs}\u2028\u2029\ufffd]{1,64}$/u;

interface Slot {
  readonly hash: number;
  readonly bytes: Uint8Array;
  readonly identifier: Identifier;
  readonly next: Slot | null;
}

const decoder = new TextDecoder('utf-8', { fatal: true, ignoreBOM: true });

/** 64 characters of at most 4 bytes. */
const bytesMax = 256;

/** Most ids of one kind in one file; no fleet is that large, but a column of row numbers is. */
const identifiersMax = 100_000;

export class IdentifierTable {
  readonly #max: number;
  readonly #byText = new Map<string, Identifier>();
  #buckets: (Slot | null)[] = new Array(256).fill(null);
  #slots = 0;
  #last: Slot | null = null;

  constructor(max = identifiersMax) {
    this.#max = max;
  }

  /** Whether no more ids are taken: a new one is none. */
  get isFull(): boolean {
    return this.#byText.size >= this.#max;
  }

  /** The id in `bytes[start, end)`, UTF-8; null where it is not one. */
  fromBytes(bytes: Uint8Array, start: number, end: number): Identifier | null {
    if (this.#last !== null && isSame(this.#last.bytes, bytes, start, end)) return this.#last.identifier;
    if (start === end || end - start > bytesMax) return null;
    const hash = hashOf(bytes, start, end);
    for (let slot = this.#buckets[hash & (this.#buckets.length - 1)]!; slot !== null; slot = slot.next!) {
      if (slot.hash !== hash || !isSame(slot.bytes, bytes, start, end)) continue;
      this.#last = slot;
      return slot.identifier;
    }
    // A copy: `slice` of a Buffer would be a view of bytes that are about to be overwritten.
    return this.#remember(new Uint8Array(bytes.subarray(start, end)), hash);
  }

  /** The id that a text is; null where it is not one. */
  fromText(text: string): Identifier | null {
    const known = this.#byText.get(text);
    if (known !== undefined) return known;
    if (this.isFull || !identifierPattern.test(text)) return null;
    const identifier: Identifier = { text, gate: null };
    this.#byText.set(text, identifier);
    return identifier;
  }

  #remember(bytes: Uint8Array, hash: number): Identifier | null {
    let identifier: Identifier | null = null;
    try {
      identifier = this.fromText(decoder.decode(bytes));
    } catch {
      // Bytes that are not UTF-8 are no id: the caller counts the row.
    }
    if (identifier === null) return null;
    if (this.#slots >= this.#buckets.length * 2) this.#grow();
    const bucket = hash & (this.#buckets.length - 1);
    const slot: Slot = { hash, bytes, identifier, next: this.#buckets[bucket]! };
    this.#buckets[bucket] = slot;
    this.#slots += 1;
    this.#last = slot;
    return identifier;
  }

  #grow(): void {
    const old = this.#buckets;
    this.#buckets = new Array(old.length * 4).fill(null);
    for (const first of old) {
      for (let slot = first; slot !== null; slot = slot.next) {
        const bucket = slot.hash & (this.#buckets.length - 1);
        this.#buckets[bucket] = { ...slot, next: this.#buckets[bucket]! };
      }
    }
  }
}

function isSame(known: Uint8Array, bytes: Uint8Array, start: number, end: number): boolean {
  if (known.length !== end - start) return false;
  for (let i = known.length - 1; i >= 0; i--) if (known[i] !== bytes[start + i]) return false;
  return true;
}

/** FNV-1a over the bytes, folded so that the low bits carry it. */
function hashOf(bytes: Uint8Array, start: number, end: number): number {
  let hash = 0x811c9dc5 | 0;
  for (let i = start; i < end; i++) hash = Math.imul(hash ^ bytes[i]!, 0x01000193);
  return hash ^ (hash >>> 15);
}
