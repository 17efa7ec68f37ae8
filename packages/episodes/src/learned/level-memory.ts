/**
 * The levels of one truck: bobtail, empty trailer, full trailer. Learned causally, never assumed. Every transfer that is
 * certain by itself (the load came on while backing under, or went off while pulling out) speaks for the level it began or
 * ended with as bobtail; the level for which most speaks is believed, later witnesses counting more, so that one level read
 * while the springs were still filling does not mislead, and a new sensor is believed after a few transfers. Levels in the
 * unit of the load signal.
 */
import { z } from 'zod';
import { fromJsonNumber, jsonNumber, toJsonNumber } from '../state/json-number.ts';
import { type Vehicle, vehicleSchema } from '../vehicle.ts';

const keptWitnesses = 15;
const keptCoupled = 40;
/** What one later witness leaves of the weight of those before it. */
const fading = 0.8;
/** Weights of what is learned: see {@link LevelMemory.learn}, {@link LevelMemory.learnLeft}, {@link LevelMemory.doubt}. */
const takenWeight = 1;
const leftWeight = 0.6;
const doubtWeight = 0.5;
const statedWeight = 0.7;

export interface KnownLevels {
  readonly bobtail: number | null;
  readonly empty: number | null;
  readonly loaded: number | null;
}

/** What the readings alone show of a truck's levels, whatever the fleet states. */
export interface SeenLevels {
  /** The level believed to be bobtail; null until a transfer was seen. */
  readonly bobtail: number | null;
  /** Transfers that agree with it. */
  readonly bobtailTransfers: number;
  /** Levels with a trailer, ascending; those of the last transfers. */
  readonly coupled: readonly number[];
  /** Whether what the fleet states is still believed: a new sensor, or another truck, has its own levels. */
  readonly statedHolds: boolean;
}

interface Witness {
  readonly level: number;
  readonly tolerance: number;
  readonly weight: number;
}

export const levelMemoryState = z.strictObject({
  witnesses: z
    .array(z.strictObject({ level: jsonNumber, tolerance: jsonNumber, weight: z.number() }))
    .max(keptWitnesses),
  coupled: z.array(jsonNumber).max(keptCoupled),
  /** What the fleet states, as long as it is believed. */
  stated: vehicleSchema.shape.levels.unwrap().nullable(),
  bobtail: z.number().nullable(),
  restarts: z.number().int().min(0),
});
export type LevelMemoryState = z.infer<typeof levelMemoryState>;

export class LevelMemory {
  #witnesses: Witness[] = [];
  #coupled: number[] = [];
  #stated: Vehicle['levels'];
  #bobtail: number | null = null;
  #restarts = 0;

  constructor(stated?: Vehicle['levels']) {
    this.#stated = stated;
    this.#bobtail = stated?.bobtailKpa ?? null;
  }

  /** The memory that {@link LevelMemory.state} was taken of. */
  static resume(state: LevelMemoryState): LevelMemory {
    const memory = new LevelMemory(state.stated ?? undefined);
    memory.#witnesses = state.witnesses.map(({ level, tolerance, weight }) => ({
      level: fromJsonNumber(level),
      tolerance: fromJsonNumber(tolerance),
      weight,
    }));
    memory.#coupled = state.coupled.map((level) => fromJsonNumber(level));
    memory.#bobtail = state.bobtail;
    memory.#restarts = state.restarts;
    return memory;
  }

  state(): LevelMemoryState {
    return {
      witnesses: this.#witnesses.map(({ level, tolerance, weight }) => ({
        level: toJsonNumber(level),
        tolerance: toJsonNumber(tolerance),
        weight,
      })),
      coupled: this.#coupled.map(toJsonNumber),
      stated: this.#stated ?? null,
      bobtail: this.#bobtail,
      restarts: this.#restarts,
    };
  }

  /** The fleet states something else from now on; levels that are new are those of another sensor or truck. */
  restate(stated: Vehicle['levels']): void {
    if (stated !== undefined && !isSame(stated, this.#stated)) this.forget();
    this.#stated = stated;
  }

  /** Takes note of a trailer taken: of the level before, long settled, and of the level after. */
  learn(bobtail: number, coupled: number, tolerance: number): void {
    this.#note(bobtail, tolerance, takenWeight);
    this.#noteCoupled(coupled);
  }

  /** Takes note of a trailer left; the springs may still have been filling or emptying, so it weighs less. */
  learnLeft(level: number, coupled: number, tolerance: number): void {
    this.#note(level, tolerance, leftWeight);
    this.#noteCoupled(coupled);
  }

  /** Takes note of a transfer that would be certain if another level were bobtail. */
  doubt(bobtail: number, tolerance: number): void {
    this.#note(bobtail, tolerance, doubtWeight);
  }

  #note(level: number, tolerance: number, weight: number): void {
    this.#witnesses.push({ level, tolerance, weight });
    if (this.#witnesses.length > keptWitnesses) this.#witnesses.shift();
    const before = this.#bobtail;
    this.#bobtail = this.#believed();
    if (before !== null && Math.abs(this.#bobtail! - before) > tolerance) this.#restarts += 1;
  }

  /** Times another level came to be believed, or all were forgotten. */
  get restarts(): number {
    return this.#restarts;
  }

  #noteCoupled(level: number): void {
    this.#coupled.push(level);
    if (this.#coupled.length > keptCoupled) this.#coupled.shift();
  }

  /** Forgets what was learned and what was stated: the sensor or the truck is another one. */
  forget(): void {
    this.#restarts += 1;
    this.#witnesses = [];
    this.#coupled = [];
    this.#stated = undefined;
    this.#bobtail = null;
  }

  get bobtail(): number | null {
    return this.#bobtail;
  }

  /** What the readings show by themselves. */
  seen(): SeenLevels {
    const most = this.#mostBelieved();
    const agreeing = most === null ? [] : this.#agreeing(most.witness);
    return {
      bobtail: agreeing[agreeing.length >> 1] ?? null,
      bobtailTransfers: agreeing.length,
      coupled: [...this.#coupled].sort((a, b) => a - b),
      statedHolds: this.#stated !== undefined,
    };
  }

  /** The median of the witnesses that agree with the one for which most speaks. */
  #believed(): number | null {
    const most = this.#mostBelieved();
    const stated = this.#stated?.bobtailKpa;
    if (most === null || (stated !== undefined && statedWeight > most.weight)) return stated ?? null;
    const agreeing = this.#agreeing(most.witness);
    return agreeing[agreeing.length >> 1];
  }

  /** Levels of the witnesses that agree with one, ascending. */
  #agreeing({ level, tolerance }: Witness): number[] {
    const agreeing = this.#witnesses.filter((w) => Math.abs(w.level - level) <= tolerance).map((w) => w.level);
    return agreeing.sort((a, b) => a - b);
  }

  #mostBelieved(): { readonly witness: Witness; readonly weight: number } | null {
    const witnesses = this.#witnesses;
    const weights = witnesses.map((w, i) => w.weight * fading ** (witnesses.length - 1 - i));
    let best: Witness | null = null;
    let most = 0;
    for (const one of witnesses) {
      let sum = 0;
      for (const [i, other] of witnesses.entries())
        if (Math.abs(other.level - one.level) <= one.tolerance) sum += weights[i];
      if (sum >= most) {
        most = sum;
        best = one;
      }
    }
    return best === null ? null : { witness: best, weight: most };
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
