/**
 * The levels of one truck: bobtail, empty trailer, full trailer. Learned causally, never assumed. A transfer that is
 * certain by itself (the load came on while backing under, or went off while pulling out) tells which level is bobtail; the
 * others are then told by it. Levels in the unit of the load signal.
 */
import type { Vehicle } from '../vehicle.ts';

const keptTransfers = 9;
const keptCoupled = 40;

export interface KnownLevels {
  readonly bobtail: number | null;
  readonly empty: number | null;
  readonly loaded: number | null;
}

export class LevelMemory {
  #bobtails: number[] = [];
  /** Levels after trailers were left: the springs may still have been filling or emptying, so they count only alone. */
  #left: number[] = [];
  #coupled: number[] = [];
  #stated: Vehicle['levels'];

  constructor(stated?: Vehicle['levels']) {
    this.#stated = stated;
  }

  /** The fleet states something else from now on; levels that are new are those of another sensor or truck. */
  restate(stated: Vehicle['levels']): void {
    if (stated !== undefined && !isSame(stated, this.#stated)) this.forget();
    this.#stated = stated;
  }

  /** Takes note of a trailer taken: of the level before, long settled, and of the level after. */
  learn(bobtail: number, coupled: number, tolerance: number): void {
    const known = this.bobtail;
    // A level far from all that was learned, by a transfer certain in itself: the sensor was changed. Start again.
    if (this.#bobtails.length > 0 && known !== null && Math.abs(known - bobtail) > 2 * tolerance) {
      const recent = this.#bobtails.at(-1)!;
      if (Math.abs(recent - bobtail) > 2 * tolerance) this.forget();
    }
    this.#bobtails.push(bobtail);
    this.#noteCoupled(coupled);
    if (this.#bobtails.length > keptTransfers) this.#bobtails.shift();
  }

  /** Takes note of a trailer left. */
  learnLeft(level: number, coupled: number): void {
    this.#left.push(level);
    if (this.#left.length > 3) this.#left.shift();
    this.#noteCoupled(coupled);
  }

  #noteCoupled(level: number): void {
    this.#coupled.push(level);
    if (this.#coupled.length > keptCoupled) this.#coupled.shift();
  }

  /** Forgets what was learned and what was stated: the sensor or the truck is another one. */
  forget(): void {
    this.#bobtails = [];
    this.#left = [];
    this.#coupled = [];
    this.#stated = undefined;
  }

  get bobtail(): number | null {
    const taught = this.#bobtails.length > 0 ? this.#bobtails : this.#left;
    if (taught.length === 0 || (this.#bobtails.length === 0 && this.#stated?.bobtailKpa !== undefined)) {
      return this.#stated?.bobtailKpa ?? null;
    }
    const sorted = [...taught].sort((a, b) => a - b);
    return sorted[sorted.length >> 1];
  }

  /** Levels known now. Empty and full are told apart only where two levels at least a factor of two above bobtail were seen. */
  known(): KnownLevels {
    const bobtail = this.bobtail;
    const stated = this.#stated;
    let empty = stated?.emptyKpa ?? null;
    let loaded = stated?.loadedKpa ?? null;
    if (bobtail !== null && this.#coupled.length >= 2 && loaded === null) {
      const shares = this.#coupled.map((level) => level - bobtail).sort((a, b) => a - b);
      const highest = shares.at(-1)!;
      const upper = shares.filter((s) => s >= 0.85 * highest);
      const lower = shares.filter((s) => s <= 0.5 * highest);
      if (lower.length > 0) {
        loaded = bobtail + upper[upper.length >> 1];
        empty ??= bobtail + lower[lower.length >> 1];
      }
    }
    return { bobtail, empty, loaded };
  }
}

function isSame(a: Vehicle['levels'], b: Vehicle['levels']): boolean {
  return a?.bobtailKpa === b?.bobtailKpa && a?.emptyKpa === b?.emptyKpa && a?.loadedKpa === b?.loadedKpa;
}
