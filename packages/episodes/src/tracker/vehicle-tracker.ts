/**
 * One small state per vehicle. Rows come in strictly increasing time; episodes go out when the vehicle has moved on.
 *
 *     settled    the load has one level, the anchor's; rows older than a few minutes before it are forgotten
 *     changed    a smoothed sample has left that level; rows are kept until the vehicle has travelled at a settled level
 *     resolved   the rows since the anchor are read at once (`resolve.ts`), episodes are handed out, a new anchor holds
 *
 * A look at the rows is taken when a stretch of travel has gone 15 m, when one of 5 m or more has ended in a standstill,
 * again every few seconds while the level is not settled, once a taken trailer is on a trip or two minutes under way, 12 h after the change, and at the end of the input. When to look
 * follows from the rows alone, so that a stream and a batch say the same.
 */
import { signalIndex } from '@gearhold/signals';
import { CadenceLearner } from '../cadence/cadence.ts';
import type { Episode } from '../episode.ts';
import type { Learned } from '../evidence.ts';
import type { LearnedVehicle } from '../learned/learned-vehicle.ts';
import { LevelMemory } from '../learned/level-memory.ts';
import { SensorLearner } from '../learned/sensor-learner.ts';
import { StuckSensor } from '../learned/stuck-sensor.ts';
import { type Springs, springsOf } from '../load/springs.ts';
import { smallestTransfer } from '../load/tolerance.ts';
import type { Oddities } from '../oddities.ts';
import { fromJsonNumber, toJsonNumber } from '../state/json-number.ts';
import { History } from '../track/history.ts';
import { thinStandstill } from '../track/thinning.ts';
import type { Vehicle } from '../vehicle.ts';
import { type Anchor, anchorMetres, highestKpa } from './anchors.ts';
import { type AssemblyInputs, assemble } from './assemble.ts';
import { findAttempts } from './attempts.ts';
import { DriverLog } from './driver-log.ts';
import { LevelWatch } from './level-watch.ts';
import { type Coupled, keepFall, resolve } from './resolve.ts';
import { type LoadSignal, Scene } from './scene.ts';
import { followed, hasTaken, isSettled, looksDumped, standingTail } from './settling.ts';
import { breaksBefore } from './silence.ts';
import { engineVersion, type TrackerState } from './tracker-state.ts';
import { Travel } from './travel.ts';

const speedAt = signalIndex.speedKph;
const gearAt = signalIndex.gear;
const pressureAt = signalIndex.suspensionKpa;
const axleLoadAt = signalIndex.axleLoadKg;

/** Travel after which the level is looked at, m. */
const lookMetres = 15;
/** Rows before the anchor that an episode may still need: the stop short of the trailer, ms. */
const keptBeforeAnchorMs = 240_000;
/** How long an unsettled level is waited for, ms: levelling takes tens of seconds, a driver may drive away dumped. */
const settleWaitMs = 120_000;
const dumpedWaitMs = 300_000;
/**
 * How long a trailer that was taken is followed until the truck is on a trip, ms, and the speed that shows it, km/h (common
 * practice): what the driver did before leaving is judged by it.
 */
const tripWaitMs = 120_000;
const tripKph = 50;
/** An episode closes this long after its load transfer, ms (contract). */
const closeAfterMs = 12 * 3_600_000;
/** Ends of backings closer together than this are one, seen twice, ms. */
const sameAttemptMs = 3000;
/** Rows kept before the history is thinned, and at most: a truck that stands for weeks, or reports no speed, has many. */
const thinAbove = 2048;
const rowsMax = 131_072;
/** A truck that has gone so far without a stop, and this fast, is on the road and not in a yard (house policy). */
const roadMetres = 300;
const roadKph = 15;
/** Nor has it been in reverse gear for so long, ms. */
const roadForwardMs = 60_000;
/** Rows that are kept on the road: the last ones, over so long, ms. */
const roadRows = 64;
const roadRowsAtLeast = 8;
const roadRowsMs = 60_000;

export type EpisodeSink = (episode: Episode) => void;

export class VehicleTracker {
  readonly #vehicleId: string;
  #vehicle: Vehicle | null;
  readonly #emit: EpisodeSink;
  #history = new History();
  #cadence = new CadenceLearner();
  #drivers = new DriverLog();
  #breaks = 0;
  #stuckRuns = 0;
  #lastAttemptMs = Number.NEGATIVE_INFINITY;
  #memory: LevelMemory;
  #signal: LoadSignal = 'suspensionKpa';
  #loadAt = pressureAt;
  #loadSeen = false;
  #sensors = new SensorLearner('suspensionKpa');
  #stuck = new StuckSensor();
  #anchor: Anchor | null = null;
  #coupled: Coupled = 'unknown';
  /** Level of the load before the last break; NaN where there was none. */
  #levelBeforeBreak = Number.NaN;
  #thinAt = thinAbove;
  #thinnedTo = Number.NEGATIVE_INFINITY;

  /** Since the anchor: whether its level has been left. */
  #watch = new LevelWatch();
  /** When reverse gear was last reported. */
  #reverseGearMs = Number.NaN;

  #travel = new Travel();
  #nextLookMetres = lookMetres;
  #waitingSinceMs = Number.NaN;
  #nextLookMs = Number.NaN;
  /** A trailer has been taken, and nothing is left to wait for but the trip. */
  #awaitsTrip = false;

  constructor(vehicleId: string, vehicle: Vehicle | null, emit: EpisodeSink) {
    this.#vehicleId = vehicleId;
    this.#vehicle = vehicle;
    this.#emit = emit;
    this.#memory = new LevelMemory(vehicle?.levels);
  }

  /** The tracker that {@link VehicleTracker.state} was taken of: later rows give the same bytes. */
  static resume(state: TrackerState, emit: EpisodeSink): VehicleTracker {
    const tracker = new VehicleTracker(state.vehicleId, state.vehicle, emit);
    tracker.#history = History.resume(state.history);
    tracker.#cadence = CadenceLearner.resume(state.cadence);
    tracker.#drivers = DriverLog.resume(state.drivers);
    tracker.#memory = LevelMemory.resume(state.memory);
    tracker.#sensors = SensorLearner.resume(state.sensors);
    tracker.#stuck = StuckSensor.resume(state.stuck);
    tracker.#watch = LevelWatch.resume(state.watch);
    tracker.#travel = Travel.resume(state.travel);
    tracker.#breaks = state.breaks;
    tracker.#stuckRuns = state.stuckRuns;
    tracker.#lastAttemptMs = fromJsonNumber(state.lastAttemptMs, Number.NEGATIVE_INFINITY);
    tracker.#signal = state.loadSignal;
    tracker.#loadAt = signalIndex[state.loadSignal];
    tracker.#loadSeen = state.loadSeen;
    tracker.#anchor = state.anchor;
    tracker.#coupled = state.coupled;
    tracker.#levelBeforeBreak = fromJsonNumber(state.levelBeforeBreak);
    tracker.#thinAt = state.thinAt;
    tracker.#thinnedTo = fromJsonNumber(state.thinnedTo, Number.NEGATIVE_INFINITY);
    tracker.#reverseGearMs = fromJsonNumber(state.reverseGearMs);
    tracker.#nextLookMetres = state.nextLookMetres;
    tracker.#nextLookMs = fromJsonNumber(state.nextLookMs);
    tracker.#waitingSinceMs = fromJsonNumber(state.waitingSinceMs);
    tracker.#awaitsTrip = state.awaitsTrip;
    return tracker;
  }

  /** All that later rows depend on. */
  state(): TrackerState {
    return {
      engineVersion,
      vehicleId: this.#vehicleId,
      vehicle: this.#vehicle,
      loadSignal: this.#signal,
      loadSeen: this.#loadSeen,
      coupled: this.#coupled,
      anchor: this.#anchor,
      levelBeforeBreak: toJsonNumber(this.#levelBeforeBreak),
      memory: this.#memory.state(),
      sensors: this.#sensors.state(),
      stuck: this.#stuck.state(),
      cadence: this.#cadence.state(),
      drivers: this.#drivers.state(),
      watch: this.#watch.state(),
      travel: this.#travel.state(),
      reverseGearMs: toJsonNumber(this.#reverseGearMs),
      nextLookMetres: this.#nextLookMetres,
      nextLookMs: toJsonNumber(this.#nextLookMs),
      waitingSinceMs: toJsonNumber(this.#waitingSinceMs),
      awaitsTrip: this.#awaitsTrip,
      lastAttemptMs: toJsonNumber(this.#lastAttemptMs),
      thinAt: this.#thinAt,
      thinnedTo: toJsonNumber(this.#thinnedTo),
      breaks: this.#breaks,
      stuckRuns: this.#stuckRuns,
      history: this.#history.state(),
    };
  }

  /**
   * Whether nothing is open after the row just pushed: the truck is on the road, forward, and the load at the level that it
   * was expected to have. What came before such a moment matters to no later episode but through what was learned.
   */
  isQuiet(timeMs: number): boolean {
    const travel = this.#travel;
    if (travel.speedMs !== timeMs || travel.speedKph <= roadKph || travel.metres < roadMetres) return false;
    if (timeMs - this.#reverseGearMs < roadForwardMs) return false;
    if (!this.#loadSeen) return true;
    const waits = !Number.isNaN(this.#watch.changedMs) || !Number.isNaN(this.#waitingSinceMs);
    return this.#anchor !== null && !waits && !this.#stuck.stuck && this.#watch.lastAgrees;
  }

  /** Forgets the rows and drivers that no longer matter at a quiet moment. */
  forgetRoad(timeMs: number): void {
    const history = this.#history;
    const recent = Math.min(history.rowAtOrAfter(timeMs - roadRowsMs), history.length - roadRowsAtLeast);
    history.dropBefore(Math.max(history.length - roadRows, recent));
    this.#drivers.forgetBefore(history.timeAt(0));
  }

  get oddities(): Oddities {
    return { breaks: this.#breaks, restarts: this.#memory.restarts, stuck: this.#stuckRuns };
  }

  /** What is known of the truck by now. */
  summary(): LearnedVehicle {
    return {
      vehicleId: this.#vehicleId,
      vehicle: this.#vehicle,
      loadSignal: this.#loadSeen ? this.#signal : null,
      learned: this.#learned(),
      seen: this.#memory.seen(),
      sensed: this.#sensors.sensed(),
      cadence: this.#cadence.now(),
    };
  }

  /** From the next row on the fleet states something else of the truck. */
  restate(vehicle: Vehicle | null): void {
    const before = this.#vehicle;
    this.#vehicle = vehicle;
    if ((vehicle?.driveSuspension === 'spring') !== (before?.driveSuspension === 'spring')) {
      this.#breakOff();
      this.#loadSeen = false;
      this.#signal = 'suspensionKpa';
      this.#loadAt = pressureAt;
      this.#sensors = new SensorLearner('suspensionKpa');
      this.#watch = new LevelWatch();
      this.#memory = new LevelMemory(vehicle?.levels);
    } else if (this.#signal === 'suspensionKpa') this.#memory.restate(vehicle?.levels);
  }

  /** Takes one row: `values` holds the signals from `offset`, NaN where not reported. */
  push(timeMs: number, driverId: string | null, values: Float64Array, offset: number): void {
    if (breaksBefore(this.#history, timeMs, values, offset)) {
      this.#breaks += 1;
      this.#breakOff();
    }
    if (!this.#loadSeen) this.#chooseSignal(values, offset);
    this.#history.append(timeMs, values, offset);
    this.#cadence.observe(timeMs, values, offset);
    this.#sensors.observe(timeMs, values, offset);
    this.#drivers.observe(timeMs, driverId, values, offset);
    const load = values[offset + this.#loadAt];
    if (this.#loadSeen && !Number.isNaN(load)) {
      if (this.#stuck.observe(timeMs, load, this.#travel.speedKph)) this.#blankStuck();
      if (this.#stuck.stuck) this.#history.blank(this.#signal, this.#history.length - 1);
      else this.#watch.take(timeMs, load, this.#anchor !== null, this.#travel.speedKph === 0);
    }
    if (values[offset + gearAt] < 0) this.#reverseGearMs = timeMs;
    const speed = values[offset + speedAt];
    if (!Number.isNaN(speed)) this.#travel.take(timeMs, speed);
    if (this.#anchor === null) this.#openAnchor(timeMs);
    else this.#lookIfDue(timeMs);
    if (this.#history.length > this.#thinAt) this.#thin(timeMs);
  }

  /** The input has ended: reports what was seen of an episode that it cuts off. */
  finish(): void {
    const { length } = this.#history;
    if (this.#anchor !== null && length > 0) this.#look(this.#history.timeAt(length - 1), true);
  }

  /** Ends what is open as the end of the input would, and begins anew; what was learned of the truck stays. */
  #breakOff(): void {
    this.finish();
    this.#levelBeforeBreak = this.#anchor?.level ?? Number.NaN;
    this.#history.dropBefore(this.#history.length);
    this.#cadence.pause();
    this.#anchor = null;
    this.#thinAt = thinAbove;
    this.#watch.forgetSamples();
    this.#travel = new Travel();
  }

  /** The first load signal that arrives is followed; on steel springs pressure proves nothing. */
  #chooseSignal(values: Float64Array, offset: number): void {
    const steel = this.#vehicle?.driveSuspension === 'spring';
    if (!steel && !Number.isNaN(values[offset + pressureAt])) {
      this.#loadSeen = true;
    } else if (!Number.isNaN(values[offset + axleLoadAt])) {
      this.#signal = 'axleLoadKg';
      this.#loadAt = axleLoadAt;
      this.#sensors = new SensorLearner('axleLoadKg');
      this.#memory = new LevelMemory();
      this.#loadSeen = true;
    }
  }

  /** What a stuck sensor has shown since it stuck is no reading: the level is what it was before. */
  #blankStuck(): void {
    this.#stuckRuns += 1;
    this.#history.blank(this.#signal, this.#history.rowAtOrAfter(this.#stuck.sinceMs));
    this.#watch.forgetSamples();
    if (this.#anchor === null) return;
    this.#setAnchor(this.#anchor);
    this.#catchUp(this.#scene(), this.#anchor.toMs);
  }

  /** The level that the input opens with: that of its first settled samples, moving or not. */
  #openAnchor(timeMs: number): void {
    const history = this.#history;
    const firstMs = history.timeAt(0);
    if (history.length < 4 || timeMs - firstMs < 4000) return;
    if (!this.#loadSeen) {
      if (history.length > 512) history.dropBefore(256);
      return;
    }
    const scene = this.#scene();
    const { series } = scene;
    if (series.length < 3) return;
    const level = series.window(series.times[0], series.times[0] + 10_000);
    if (level.count < 3 && timeMs - firstMs < 60_000) return;
    const opening = series.levelAfter(firstMs, 10_000, 3).level;
    if (this.#signal === 'suspensionKpa' && opening > highestKpa) {
      history.dropBefore(history.length);
      return;
    }
    // After a break a trailer is known to be on, or off, only as long as the load says the same.
    if (Math.abs(opening - this.#levelBeforeBreak) > scene.tolerance.distinct(opening, this.#levelBeforeBreak))
      this.#coupled = 'unknown';
    this.#levelBeforeBreak = Number.NaN;
    this.#setAnchor({
      level: opening,
      settled: true,
      fromMs: firstMs,
      toMs: series.times[Math.min(2, series.length - 1)],
      move: null,
    });
  }

  #lookIfDue(timeMs: number): void {
    const travel = this.#travel;
    if (!Number.isNaN(this.#waitingSinceMs)) {
      if (timeMs >= this.#nextLookMs || (this.#awaitsTrip && this.#tripDecided(timeMs))) this.#look(timeMs, false);
      return;
    }
    if (travel.speedKph > 0) {
      if (travel.metres >= this.#nextLookMetres) this.#look(timeMs, false);
    } else if (!travel.standSeen && travel.stoodMs(timeMs) >= 3000) {
      if (travel.metres >= anchorMetres) this.#look(timeMs, false);
      travel.endStretch();
      this.#nextLookMetres = lookMetres;
    } else if (timeMs - this.#watch.changedMs > closeAfterMs) this.#look(timeMs, true);
  }

  /** Looks at the rows since the anchor. `final` where nothing more is waited for. */
  #look(timeMs: number, final: boolean): void {
    if (Number.isNaN(this.#watch.changedMs)) {
      // Not at standstill: the backing that has just ended may be under a trailer whose load is still to come.
      if (this.#travel.speedKph > 0) this.#restAnchor(timeMs);
      return;
    }
    const scene = this.#scene();
    if (scene.series.length === 0) return;
    const settled = isSettled(scene, timeMs);
    const dumpLike = looksDumped(scene, this.#anchor!, timeMs);
    if (!final) {
      if (Number.isNaN(this.#waitingSinceMs)) this.#waitingSinceMs = timeMs;
      const waited = timeMs - this.#waitingSinceMs;
      if (
        (!settled && waited < settleWaitMs) ||
        (dumpLike && waited < dumpedWaitMs && (scene.levels.bobtail === null || !this.#backingAgain(scene)))
      ) {
        this.#nextLookMs = timeMs + Math.max(4000, 2 * scene.loadIntervalMs);
        return;
      }
      if (waited < tripWaitMs && !this.#tripDecided(timeMs) && hasTaken(scene, this.#anchor!, timeMs)) {
        this.#awaitsTrip = true;
        this.#nextLookMs = this.#waitingSinceMs + tripWaitMs;
        return;
      }
    }
    const tail = final ? standingTail(scene, this.#anchor!, timeMs) : null;
    const resolution = resolve(scene, this.#anchor!, this.#coupled, tail);
    for (const finding of resolution.findings) {
      this.#report(scene, finding);
      if (finding.weighed.teaches) {
        const { from, to } = finding.transfer;
        if (finding.kind === 'coupling') this.#memory.learn(from, to, scene.tolerance.distinct(from, from));
        else if (finding.transfer.after.settled) this.#memory.learnLeft(to, from, scene.tolerance.distinct(to, to));
      }
    }
    for (const level of resolution.doubts) this.#memory.doubt(level, scene.tolerance.distinct(level, level));
    for (const attempt of findAttempts(scene, this.#anchor!, resolution)) {
      // Where the anchor stays, the next look sees the same attempt again.
      if (attempt.backing.end.best <= this.#lastAttemptMs) continue;
      this.#lastAttemptMs = attempt.backing.end.high + sameAttemptMs;
      this.#report(scene, attempt);
    }
    if (resolution.jumped && this.#coupled === 'off') this.#memory.forget();
    this.#coupled = resolution.coupled;
    this.#setAnchor(resolution.closing);
    this.#catchUp(scene, resolution.closing.toMs);
    this.#forgetOld();
  }

  #report(scene: Scene, finding: AssemblyInputs['finding']): void {
    const episode = assemble({
      scene,
      finding,
      vehicleId: this.#vehicleId,
      learned: this.#learned(),
      drivers: this.#drivers,
      copy: (from, to) => this.#history.copy(from, to),
      rowAt: (ms) => this.#history.rowAtOrAfter(ms),
    });
    if (episode !== null) this.#emit(episode);
  }

  /** What the load did after the anchor is not lost with it. */
  #catchUp(scene: Scene, sinceMs: number): void {
    const { series } = scene;
    for (let i = series.indexAt(sinceMs + 1); i < series.length; i++) {
      this.#watch.takeSmooth(series.times[i], series.smooth[i]);
    }
  }

  /** Nothing has changed: the level holds, and with it the anchor moves up to now. */
  #restAnchor(timeMs: number): void {
    const anchor = this.#anchor!;
    const column = this.#history.column(this.#signal);
    if (column === null) return;
    const level = followed(anchor.level, column);
    this.#setAnchor(keepFall({ level, settled: true, fromMs: timeMs - 1, toMs: timeMs, move: null }, anchor));
    // On the road there is no need to look at every row.
    const { metres } = this.#travel;
    this.#nextLookMetres = metres + Math.max(lookMetres, Math.min(400, metres));
    this.#forgetOld();
  }

  #setAnchor(anchor: Anchor): void {
    this.#anchor = anchor;
    this.#watch.watch(anchor.level, smallestTransfer[this.#signal], this.#springs().unsprung);
    this.#waitingSinceMs = Number.NaN;
    this.#nextLookMs = Number.NaN;
    this.#awaitsTrip = false;
    this.#nextLookMetres = this.#travel.metres + lookMetres;
  }

  #forgetOld(): void {
    const keepFrom = this.#anchor!.fromMs - keptBeforeAnchorMs;
    const row = this.#history.rowAtOrAfter(keepFrom);
    // Cutting costs a copy: only where it frees a good part.
    if (row > 256 && row > this.#history.length / 3) this.#history.dropBefore(row);
  }

  #thin(timeMs: number): void {
    thinStandstill(this.#history, this.#thinnedTo, timeMs);
    this.#thinnedTo = timeMs - 150_000;
    this.#history.dropBefore(this.#history.length - rowsMax / 2);
    this.#thinAt = Math.max(thinAbove, this.#history.length * 2);
  }

  /** Whether the truck is on a trip with what it took, or has begun to back: there is nothing more to wait for. */
  #tripDecided(timeMs: number): boolean {
    return this.#travel.speedKph >= tripKph || this.#reverseGearMs === timeMs;
  }

  /** Whether a new backing has begun after the last travel: then the next trailer is under way and waiting is over. */
  #backingAgain(scene: Scene): boolean {
    // Most waits have none: where gear is reported, but never reverse, the moves need not be worked out.
    if (this.#history.column('gear') !== null && !(this.#reverseGearMs >= this.#history.timeAt(0))) return false;
    const last = scene.moves.at(-1);
    return last !== undefined && last.kind === 'reverse' && last.metres.best >= anchorMetres;
  }

  #scene(): Scene {
    return new Scene({
      track: this.#history,
      signal: this.#signal,
      cadence: this.#cadence.snapshot(),
      noise: this.#sensors.noise,
      step: this.#sensors.step,
      blindSpeedKph: this.#blindSpeed(),
      levels: this.#memory.known(),
      springs: this.#springs(),
      vehicle: this.#vehicle,
    });
  }

  #springs(): Springs {
    return springsOf(this.#signal, this.#watch.lightest, this.#memory.bobtail);
  }

  #blindSpeed(): number {
    return this.#vehicle?.blindSpeedKph ?? this.#sensors.blindSpeedKph;
  }

  #learned(): Learned {
    return {
      ...this.#memory.known(),
      noise: this.#sensors.noise,
      step: this.#sensors.step,
      blindSpeedKph: this.#blindSpeed(),
      releasedPedalPct: this.#sensors.releasedPedalPct,
      idleRpm: this.#sensors.idleRpm,
    };
  }
}
