/**
 * One vehicle gone through again from where its readings are new or changed. It begins at the stretch in which that is, with
 * what was learned by then, and goes on to the last reading; where it comes to a state that is stored already, and every
 * reading from there on was seen as it is, it stops. It is done in steps of several stretches, each a transaction that
 * leaves a whole behind: stretches, episodes and their checks, and from where the vehicle is still due.
 *
 * The vehicle is locked within a step: readings that arrive meanwhile wait, and make it due again.
 */
import { type Cut, type Episode, engineVersion, StretchTracker } from '@gearhold/episodes';
import { signalCount } from '@gearhold/signals';
import {
  type Engine,
  type FoundEpisode,
  lockVehicle,
  noteAnalysed,
  readReadings,
  replaceStretches,
  type StoredStretch,
  stretchAfter,
  stretchAt,
  type Transaction,
  type WrittenEpisodes,
  writeEpisodes,
} from '@gearhold/store';
import { readingsAround } from './around.ts';
import { cutOf } from './cut.ts';
import type { Fleet } from './fleet.ts';

/** Stretches that one transaction goes through: a few days, so that memory and the time of a lock stay bounded. */
const stretchesAStep = 12;
/** The store's times are whole microseconds: what comes after a row begins one later. Ms. */
const nextMs = 0.001;

export interface VehicleOptions {
  /** Readings from here on are left for later, ms since the epoch. Defaults to none. */
  readonly untilMs?: number;
  /** A load transfer before this belongs to a day whose digest went out: what is found of it now arrived late. */
  readonly lateBeforeMs?: number;
  /** Shortest stretch, ms; the same for all who use the store. Defaults to that of the episodes room. */
  readonly stretchMs?: number;
  /** Now, ms since the epoch. */
  readonly nowMs: number;
}

export interface VehicleOutcome {
  readonly vehicleId: string;
  readonly rows: number;
  readonly stretches: number;
  readonly episodes: { readonly [Fate in keyof WrittenEpisodes]: number };
}

/** Analyses a vehicle until it is no longer due, and says what came of it. Doing it twice is doing it once. */
export async function analyseVehicle(
  store: Engine,
  vehicleId: string,
  fleet: Fleet,
  options: VehicleOptions,
): Promise<VehicleOutcome> {
  let rows = 0;
  let stretches = 0;
  const episodes = { added: 0, changed: 0, withdrawn: 0, returned: 0, unchanged: 0 };
  for (let due = true; due; ) {
    const step = await store.transaction((transaction) => new Step(transaction, vehicleId, fleet, options).run(), {
      repeatable: true,
    });
    if (step === null) break;
    rows += step.rows;
    stretches += step.stretches;
    for (const fate of Object.keys(episodes) as (keyof WrittenEpisodes)[]) episodes[fate] += step.written[fate].length;
    due = step.due;
  }
  return { vehicleId, rows, stretches, episodes };
}

interface StepOutcome {
  readonly rows: number;
  readonly stretches: number;
  readonly written: WrittenEpisodes;
  /** Whether there is more to do. */
  readonly due: boolean;
}

/** How the rows of a step ended: with the last one there is, at the end of enough stretches, or where all is known from. */
type Ending = 'end' | 'enough' | 'met';

class Step {
  readonly #transaction: Transaction;
  readonly #vehicleId: string;
  readonly #fleet: Fleet;
  readonly #options: VehicleOptions;
  readonly #found: Episode[] = [];
  readonly #cuts: Cut[] = [];
  #rows = 0;
  #firstMs = Number.NaN;
  #lastMs = Number.NaN;

  constructor(transaction: Transaction, vehicleId: string, fleet: Fleet, options: VehicleOptions) {
    this.#transaction = transaction;
    this.#vehicleId = vehicleId;
    this.#fleet = fleet;
    this.#options = options;
  }

  /** Null where nothing is due. */
  async run(): Promise<StepOutcome | null> {
    const { untilMs = Number.POSITIVE_INFINITY } = this.#options;
    const progress = await lockVehicle(this.#transaction, this.#vehicleId);
    if (progress === null || progress.dirtyFromMs === null || progress.dirtyFromMs >= untilMs) return null;
    const { dirtyFromMs, dirtyUntilMs, prunedBeforeMs } = progress;
    const start = await this.#startFor(dirtyFromMs, prunedBeforeMs ?? Number.NEGATIVE_INFINITY);
    const ending = await this.#goThrough(start, dirtyUntilMs!);
    const boundaryMs = ending === 'end' ? Number.POSITIVE_INFINITY : beginsAfter(this.#cuts.at(-1)!);
    const written = await this.#write({ fromMs: start.fromMs, untilMs: Math.min(boundaryMs, untilMs) });
    await this.#storeStretches(start, ending, boundaryMs);
    // What was left out of the last rows by `untilMs` stays due.
    const restMs = ending === 'end' && progress.lastReadingMs >= untilMs ? untilMs : null;
    const dirtyMs = ending === 'enough' ? boundaryMs : restMs;
    await noteAnalysed(
      this.#transaction,
      this.#vehicleId,
      Number.isNaN(this.#lastMs) ? dirtyFromMs : this.#lastMs,
      dirtyMs,
    );
    return { rows: this.#rows, stretches: this.#cuts.length, written, due: ending === 'enough' };
  }

  /** The stretch to begin at. Where its state is another version's, the vehicle is learned anew from its first row. */
  async #startFor(dirtyFromMs: number, prunedBeforeMs: number): Promise<Start> {
    const stored = await stretchAt(this.#transaction, this.#vehicleId, dirtyFromMs);
    const cut = stored === null ? null : cutOf(stored);
    if (stored !== null && cut !== null) return { fromMs: stored.startMs, cut };
    return { fromMs: prunedBeforeMs, cut: null };
  }

  async #goThrough({ fromMs, cut }: Start, dirtyUntilMs: number): Promise<Ending> {
    const { untilMs, stretchMs } = this.#options;
    const tracker = new StretchTracker({
      vehicleId: this.#vehicleId,
      entries: this.#fleet.entries(this.#vehicleId),
      start: cut,
      ...(stretchMs !== undefined && { leastMs: stretchMs }),
      onEpisode: (episode) => this.#found.push(episode),
      onStretch: ({ end }) => this.#cuts.push(end),
    });
    let cuts = 0;
    const span = { vehicleId: this.#vehicleId, fromMs, ...(untilMs !== undefined && { untilMs }) };
    for await (const page of readReadings(this.#transaction, span)) {
      if (this.#rows === 0) this.#firstMs = page.timesMs[0]!;
      for (let row = 0; row < page.length; row++) {
        const timeMs = page.timesMs[row]!;
        tracker.accept(timeMs, page.driverIds[row]!, page.values, row * signalCount);
        this.#rows += 1;
        this.#lastMs = timeMs;
        if (this.#cuts.length === cuts) continue;
        cuts += 1;
        if (timeMs >= dirtyUntilMs && (await this.#isKnown(this.#cuts.at(-1)!))) return 'met';
        if (cuts === stretchesAStep) return 'enough';
      }
    }
    tracker.finish();
    return 'end';
  }

  /** Whether a stretch is stored that begins at a cut, with the same state: from there on nothing else would come out. */
  async #isKnown(cut: Cut): Promise<boolean> {
    const stored = await stretchAt(this.#transaction, this.#vehicleId, beginsAfter(cut));
    return stored !== null && stored.state === JSON.stringify(cut.state) && stored.engine === engine;
  }

  async #write(span: Span): Promise<WrittenEpisodes> {
    const { lateBeforeMs = Number.NEGATIVE_INFINITY, nowMs } = this.#options;
    const found: FoundEpisode[] = [];
    for (const episode of this.#found) {
      const judged = this.#fleet.judged(episode);
      const transferMs = Date.parse(judged.wire.loadTransferTime);
      const around = { startMs: episode.startTime, endMs: episode.endTime };
      const evidence = await readingsAround(this.#transaction, this.#vehicleId, around);
      found.push({ ...judged, evidence, arrivedLate: transferMs < lateBeforeMs });
    }
    const fromMs = Math.min(span.fromMs, ...found.map(({ wire }) => Date.parse(wire.loadTransferTime)));
    return writeEpisodes(this.#transaction, this.#vehicleId, { fromMs, untilMs: span.untilMs }, found, nowMs);
  }

  async #storeStretches(start: Start, ending: Ending, boundaryMs: number): Promise<void> {
    const begun = [start.cut, ...this.#cuts].map((cut) => ({
      startMs: cut === null ? this.#firstMs : beginsAfter(cut),
      engine,
      state: cut === null ? null : JSON.stringify(cut.state),
    }));
    // The stretch that was met is stored already; the one to go on at is open until it is gone through.
    if (ending === 'met') begun.pop();
    const next = ending === 'enough' ? await stretchAfter(this.#transaction, this.#vehicleId, boundaryMs) : null;
    const lastEndMs = ending === 'met' ? boundaryMs : (next?.startMs ?? null);
    const stretches: StoredStretch[] = begun
      .filter(({ startMs }) => !Number.isNaN(startMs))
      .map((stretch, i) => ({ ...stretch, endMs: begun[i + 1]?.startMs ?? lastEndMs }));
    const untilMs = ending === 'enough' ? boundaryMs + nextMs : boundaryMs;
    await replaceStretches(this.#transaction, this.#vehicleId, { fromMs: start.fromMs, untilMs }, stretches);
  }
}

interface Start {
  /** First instant whose rows are gone through. */
  readonly fromMs: number;
  /** State to begin with; null = nothing is known. */
  readonly cut: Cut | null;
}

interface Span {
  readonly fromMs: number;
  readonly untilMs: number;
}

const engine = String(engineVersion);

/** When the stretch after a cut begins, as the store has it. */
function beginsAfter({ timeMs }: Cut): number {
  return Math.round((timeMs + nextMs) * 1000) / 1000;
}
