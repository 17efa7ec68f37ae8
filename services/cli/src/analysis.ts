/**
 * One analysis, from byte streams to judged episodes:
 *
 *     bytes -> readings -> order, per vehicle -> tracker -> episodes -> checks -> whoever asked
 *
 * One file streams through. The rows of several are first put in order by vehicle and time in a row store, each file
 * having judged for itself which of its rows are late, so that the same rows give the same episodes however they were
 * spread over files. Episodes come in no particular order.
 */
import type { Episode } from '@gearhold/episodes';
import type { WireEpisode } from '@gearhold/policy';
import { InstantMerge, IntakeReport, type ReadingBatch, ReorderBuffer, signalCount } from '@gearhold/signals';
import type { Engine, Tracker } from './engine.ts';
import { RowStore, type RowStoreOptions } from './row-store.ts';
import type { Found } from './summary.ts';

/** Rows of a vehicle that are handed to its tracker at once. */
const blockRows = 64;

/** One input of the run: a name for sentences and the batches of its readings. */
export interface Source {
  readonly name: string;
  /**
   * Reads to the end, counting into the report. An input that cannot be read to its end ends early and stands in
   * `report.unreadable`.
   */
  read(report: IntakeReport, fileIndex: number): AsyncIterable<ReadingBatch>;
}

export interface AnalysisOptions {
  /** Bound on lateness within a file, ms of event time. */
  readonly lateMs: number;
  /** `main`: couplings and uncouplings; `all`: also failed attempts and loads lost under way. */
  readonly kinds: 'main' | 'all';
  readonly rowStore?: RowStoreOptions;
}

export interface AnalysisWatcher {
  /** As it was judged, and as the tracker made it. */
  episode(judged: WireEpisode, episode: Episode): void;
  /** Readings as they are read, in the order of the input. */
  readings?(batch: ReadingBatch): void;
  /** Rows read so far, once a batch. */
  rows?(count: number): void;
  /** The next input begins. */
  source?(name: string): void;
}

export interface Analysis {
  readonly intake: IntakeReport;
  readonly found: Found;
}

export async function analyse(
  sources: readonly Source[],
  engine: Engine,
  options: AnalysisOptions,
  watcher: AnalysisWatcher,
): Promise<Analysis> {
  const intake = new IntakeReport();
  const finder = new Finder(engine, options.kinds, watcher);
  const batches = (source: Source, index: number) => watched(source, index, intake, watcher);
  const vehicles =
    sources.length === 1
      ? await streamOne(batches(sources[0]!, 0), finder, intake, options.lateMs)
      : await mergeSeveral(sources.map(batches), finder, intake, options.rowStore);
  return { intake, found: finder.found(vehicles) };
}

async function* watched(
  source: Source,
  index: number,
  intake: IntakeReport,
  watcher: AnalysisWatcher,
): AsyncGenerator<ReadingBatch> {
  watcher.source?.(source.name);
  for await (const batch of source.read(intake, index)) {
    watcher.readings?.(batch);
    yield batch;
    watcher.rows?.(intake.rowsRead);
  }
}

/** Gives how many vehicles there were. */
async function streamOne(
  batches: AsyncIterable<ReadingBatch>,
  finder: Finder,
  intake: IntakeReport,
  lateMs: number,
): Promise<number> {
  const tracker = finder.tracker();
  const order = new ReorderBuffer({
    counts: intake,
    lateMs,
    blockRows,
    emit: (vehicleId, timeMs, driverId, values, offset) => tracker.accept(vehicleId, timeMs, driverId, values, offset),
    // The reader judged lateness already: this is only a row behind more rows than the order stage holds.
    onLate: () => {
      intake.rejected.late += 1;
      intake.rowsAccepted -= 1;
    },
  });
  for await (const batch of batches) order.push(batch);
  // One after the other, so that what each holds is let go: a column of row numbers may have been taken for ids.
  order.flush((vehicleId) => tracker.finishVehicle(vehicleId));
  return order.vehicleCount;
}

/** Gives how many vehicles there were. */
async function mergeSeveral(
  inputs: readonly AsyncIterable<ReadingBatch>[],
  finder: Finder,
  intake: IntakeReport,
  storeOptions?: RowStoreOptions,
): Promise<number> {
  const store = new RowStore(storeOptions);
  try {
    for (const batches of inputs) {
      for await (const { length, vehicleIds, driverIds, timesMs, values } of batches) {
        for (let row = 0; row < length; row++) {
          store.add(vehicleIds[row]!, driverIds[row]!, timesMs[row]!, values, row * signalCount);
        }
      }
    }
    const tracker = finder.tracker();
    let vehicle = '';
    let vehicles = 0;
    const merge = new InstantMerge(intake, (timeMs, driverId, values, offset) => {
      tracker.accept(vehicle, timeMs, driverId, values, offset);
    });
    store.drain({
      row: (vehicleId, driverId, timeMs, values) => {
        vehicle = vehicleId;
        merge.push(timeMs, driverId, values, 0);
      },
      vehicleEnd: (vehicleId) => {
        merge.flush();
        vehicles += 1;
        tracker.finishVehicle(vehicleId);
      },
    });
    return vehicles;
  } finally {
    store.close();
  }
}

/** Judges what the trackers find and counts it. */
class Finder {
  readonly #engine: Engine;
  readonly #kinds: AnalysisOptions['kinds'];
  readonly #watcher: AnalysisWatcher;
  readonly #episodes = new Map<string, number>();
  #tracker: Tracker | null = null;
  #anomalies = 0;

  constructor(engine: Engine, kinds: AnalysisOptions['kinds'], watcher: AnalysisWatcher) {
    this.#engine = engine;
    this.#kinds = kinds;
    this.#watcher = watcher;
  }

  tracker(): Tracker {
    this.#tracker = this.#engine.tracker((episode) => this.#take(episode));
    return this.#tracker;
  }

  found(vehicles: number): Found {
    const oddities = this.#tracker?.oddities ?? { breaks: 0, restarts: 0, stuck: 0 };
    return { vehicles, ...oddities, episodes: this.#episodes, anomalies: this.#anomalies };
  }

  #take(episode: Episode): void {
    if (this.#kinds === 'main' && episode.kind !== 'coupling' && episode.kind !== 'uncoupling') return;
    const wire = this.#engine.judge(episode);
    this.#episodes.set(wire.kind, (this.#episodes.get(wire.kind) ?? 0) + 1);
    for (const check of wire.checks) if (check.outcome === 'missed') this.#anomalies += 1;
    this.#watcher.episode(wire, episode);
  }
}
