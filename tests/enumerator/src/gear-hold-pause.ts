/**
 * `gear-hold-pause`: shortest and longest pause, s, over all courses that fit the rows.
 *
 * A course is: was there a dump, and when was its fall done; when did the pull begin; when was the plate off (0 to 2.5 m
 * after that); from when to when did the truck stand. Each loop below walks the instants of the grid for one of these. A
 * pause counts (a) from the end of the dump's fall to the first forward movement after it, or (b) at standstill after the
 * pull, with the frame still under the trailer's nose.
 */
import { dumpEvidence, dumpInstants } from './dump.ts';
import { type Load, levelIn, loadOf, medianOf } from './load.ts';
import { type Cell, metresApart, motion } from './motion.ts';
import { atLeast, type Bounds, type Limits, type TrueAnchor, unknownBounds } from './row.ts';
import { type Sample, samplesIn, type View } from './series.ts';
import { cellAt, metresIn, mostMetres, type Stand, seconds, slackMetres, standEnds, stands } from './stands.ts';

type PauseLimits = Limits['gearHoldPause'];

/** The plate is off at most so far after the pull begins. */
const plateMetres = 2.5;
const samePlaceMetres = 10;
/** What the sum over many cells may be off by. */
const roundingMetres = 1e-6;
const beforeMs = 60_000;
const afterMs = 180_000;

interface Scene {
  readonly view: View;
  readonly limits: PauseLimits;
  readonly load: Load | null;
  readonly standMs: number;
  /** About when the pull began: says which movement is meant. */
  readonly pullMs: number;
  /** Settled level before, and after, the transfer. */
  readonly before: number | null;
  readonly after: number | null;
  /** When the level before was reached. */
  readonly highestMs: number;
  /** Last sample before half of the fall that shows the load still all on; -Infinity where none does. */
  readonly wholeMs: number;
}

export function gearHoldPause(view: View, episode: TrueAnchor, limits: PauseLimits): Bounds {
  if (view.known.liftsTrailer === true) return { ...unknownBounds, outcome: 'not-applicable' };
  if (view.known.springSuspension === true || episode.detectable === false) return unknownBounds;
  const standMs = episode.milestones.standTime ?? episode.startTime;
  const pullMs = episode.milestones.pullOutTime ?? episode.loadTransferTime;
  const releaseMs = episode.milestones.releaseTime ?? pullMs + 10_000;
  const load = loadOf(view, episode);
  const scene: Scene = {
    view,
    limits,
    load,
    standMs,
    pullMs,
    ...loadStates(load, episode, standMs, pullMs, releaseMs),
  };

  const window = [standMs - beforeMs, episode.endTime + afterMs] as const;
  const loadMoves = load === null ? Number.POSITIVE_INFINITY : Math.max(5 * load.noise + load.step, load.tolerance);
  const proven = motion(view, { proof: 'met', window, loadMoves, backing: false });
  const possible = motion(view, { proof: 'missed', window, loadMoves, backing: false });

  const evidence = dumpEvidence(view, load, episode, standMs, earliestMove(proven, pullMs));
  const dump = evidence === 'excluded' ? null : dumpInstants(load, standMs, releaseMs);
  const worlds: [number, number][] = [];
  if (evidence !== 'certain') worlds.push([leastWithoutDump(scene, proven), mostWithoutDump(scene, possible)]);
  if (evidence !== 'excluded') {
    const lowMs = dump?.lowMs ?? standMs;
    const highMs = dump?.highMs ?? Number.POSITIVE_INFINITY;
    worlds.push([leastWithDump(scene, proven, lowMs, highMs), mostWithDump(scene, possible, lowMs, highMs)]);
  }
  const low = Math.min(...worlds.map(([least]) => least));
  const high = Math.max(...worlds.map(([, most]) => most));
  return atLeast(limits.minSeconds, low, Number.isFinite(high) ? high : null);
}

/**
 * The level before is the highest that the standstill shows up to half of the fall: springs may still be filling when the
 * truck comes to rest, and for the pull-out even more.
 */
function loadStates(
  load: Load | null,
  episode: TrueAnchor,
  standMs: number,
  pullMs: number,
  releaseMs: number,
): Pick<Scene, 'before' | 'after' | 'highestMs' | 'wholeMs'> {
  const nothing = { before: null, after: null, highestMs: standMs, wholeMs: Number.NEGATIVE_INFINITY };
  if (load === null) return nothing;
  const after = lowestLevel(samplesIn(load.series, releaseMs, episode.endTime + afterMs));
  const first = levelIn(load.series, standMs, standMs + 15_000);
  if (after === null || first === null) return nothing;
  const half = Math.min(first, first - (first - after) / 2);
  const goneMs = firstBelow(load, half, pullMs);
  const levels = runningMedians(samplesIn(load.series, standMs, goneMs));
  const highest = levels.reduce((most, level) => (level.value > most.value ? level : most), {
    value: first,
    timeMs: standMs,
  });
  const halfMs = firstBelow(load, (highest.value + after) / 2, pullMs);
  const whole = load.series.samples.findLast(
    (s) => s.timeMs < halfMs && s.value + s.slack >= highest.value - load.tolerance,
  );
  return {
    before: highest.value,
    after,
    highestMs: highest.timeMs,
    wholeMs: whole?.timeMs ?? Number.NEGATIVE_INFINITY,
  };
}

function firstBelow(load: Load, level: number, fromMs: number): number {
  return (
    load.series.samples.find((s) => s.timeMs > fromMs && s.value + s.slack < level)?.timeMs ?? Number.POSITIVE_INFINITY
  );
}

/** Median of each five neighbouring samples, at the time of the last. */
function runningMedians(samples: readonly Sample[]): { value: number; timeMs: number }[] {
  return samples
    .map((s, i) => ({ value: medianOf(samples.slice(Math.max(0, i - 4), i + 1))!, timeMs: s.timeMs }))
    .slice(Math.min(4, Math.max(0, samples.length - 1)));
}

function lowestLevel(samples: readonly Sample[]): number | null {
  const levels = runningMedians(samples).map((level) => level.value);
  return levels.length === 0 ? null : Math.min(...levels);
}

/** Earliest instant at which the movement that the anchor lies in may have begun. */
function earliestMove(cells: readonly Cell[], anchorMs: number): number {
  let i = cellAt(cells, anchorMs);
  while (i > 0 && cells[i].fastest > 0 && cells[i - 1].fastest > 0) i -= 1;
  return cells[i].fromMs;
}

// ---- Shortest: every choice the rows leave open goes against the pause.

function leastWithoutDump(scene: Scene, cells: readonly Cell[]): number {
  const moveMs = earliestMove(cells, scene.pullMs);
  return longestProven(scene, cells, stands(cells, 'fastest'), moveMs, scene.pullMs, false);
}

function leastWithDump(scene: Scene, cells: readonly Cell[], lowMs: number, highMs: number): number {
  if (!Number.isFinite(highMs)) return 0;
  const found = stands(cells, 'fastest');
  const ends = standEnds(cells, 'fastest');
  let least = Number.POSITIVE_INFINITY;
  for (let i = cellAt(cells, lowMs); i < cells.length && cells[i].fromMs <= highMs; i++) {
    // The fall is done in this cell, at its end at the latest; the first movement that is possible then ends pause (a).
    const doneMs = Math.min(cells[i].toMs, highMs);
    const end = cells[i].fastest === 0 ? ends[i] : i;
    const moveMs = end < cells.length ? cells[end].fromMs : cells[cells.length - 1].toMs;
    const dumped = Math.max(0, (moveMs - doneMs) / 1000);
    const under =
      scene.limits.dumpedPause === 'before-pull' ? 0 : longestProven(scene, cells, found, moveMs, moveMs, true);
    least = Math.min(least, Math.max(dumped, under));
  }
  return least;
}

/**
 * Longest standstill that surely counts as (b): proven, begun after the pull, after the load has begun to go off or with
 * the end of its fall in it, and surely no more than `underMetres` after the plate was off.
 */
function longestProven(
  scene: Scene,
  cells: readonly Cell[],
  found: readonly Stand[],
  moveMs: number,
  afterPullMs: number,
  dumped: boolean,
): number {
  // The plate may have come off as soon as the pull began, but not before a sample that shows the load still on it.
  const releasedFrom = dumped ? moveMs : Math.max(moveMs, lastLoaded(scene, moveMs));
  let longest = 0;
  for (const stand of found) {
    if (stand.fromMs <= afterPullMs || seconds(stand) <= longest) continue;
    if (mostMetres(cells, releasedFrom, stand.fromMs) > scene.limits.underMetres + roundingMetres) continue;
    if (!dumped && !loadSurelyGoing(scene, cells, stand.first, stand.toMs)) continue;
    longest = Math.max(longest, seconds(stand));
  }
  return longest;
}

/** Last sample after the pull began that is still at the level from which it pulled, where that level is a load at all. */
function lastLoaded(scene: Scene, moveMs: number): number {
  const { load, after } = scene;
  if (load === null || after === null) return moveMs;
  const level = medianOf(samplesIn(load.series, moveMs - 10_000, moveMs).slice(-3));
  if (level === null || level - after < Math.max(3 * load.tolerance, 0.2 * load.transfer)) return moveMs;
  let last = moveMs;
  for (const sample of samplesIn(load.series, moveMs, moveMs + afterMs)) {
    if (sample.value - sample.slack < level - load.tolerance) break;
    last = sample.timeMs;
  }
  return last;
}

/** A sample before the stand can have begun shows the load going off, or one in the stand shows that its fall has ended. */
function loadSurelyGoing(scene: Scene, cells: readonly Cell[], first: number, toMs: number): boolean {
  const { load, before, after } = scene;
  if (load === null || before === null || after === null) return false;
  let moving = first;
  while (moving > 0 && cells[moving - 1].slowest === 0) moving -= 1;
  const begun = samplesIn(load.series, scene.highestMs, cells[moving].fromMs).some(
    (s) => s.value + s.slack < before - load.tolerance,
  );
  const last = samplesIn(load.series, scene.pullMs, toMs).at(-1);
  return begun || (last !== undefined && last.value + last.slack <= after + endTolerance(load));
}

const endTolerance = (load: Load): number => Math.max(load.tolerance, 0.05 * load.transfer);

// ---- Longest: every choice the rows leave open goes for the pause.

function mostWithoutDump(scene: Scene, cells: readonly Cell[]): number {
  return longestPossible(scene, cells, earliestMove(cells, scene.pullMs), scene.pullMs, false);
}

function mostWithDump(scene: Scene, cells: readonly Cell[], lowMs: number, highMs: number): number {
  const ends = standEnds(cells, 'slowest');
  let most = 0;
  let moveMs = Number.POSITIVE_INFINITY;
  let come = 0;
  for (let i = cellAt(cells, lowMs); i < cells.length && cells[i].fromMs <= highMs; i++) {
    if (cells[i].fastest > 0) moveMs = Math.min(moveMs, cells[i].fromMs);
    if (cells[i].fromMs > scene.pullMs) come += metresIn(cells[i], cells[i].slowest);
    // A dump is done before the trailer is left.
    if (come > plateMetres) break;
    if (cells[i].slowest > 0) continue;
    most = Math.max(most, endOf(cells, ends[i]) - Math.max(lowMs, cells[i].fromMs));
  }
  const under =
    scene.limits.dumpedPause === 'before-pull'
      ? 0
      : longestPossible(scene, cells, Math.min(moveMs, earliestMove(cells, scene.pullMs)), scene.pullMs, true);
  const freed = scene.limits.dumpedPause === 'before-pull' ? 0 : afterShortPull(scene, cells, ends, lowMs);
  return Math.max(most / 1000, under, freed);
}

/**
 * A standstill after a short pull that freed the kingpin, in which the dump's fall ends: the words on (b) can be read to
 * count all of it. It begins at the earliest where the truck may have moved after having stood.
 */
function afterShortPull(scene: Scene, cells: readonly Cell[], ends: Int32Array, doneMs: number): number {
  const done = cellAt(cells, doneMs);
  let i = cellAt(cells, scene.standMs);
  while (i < done && cells[i].fastest > 0) i += 1;
  for (; i <= done; i++) {
    if (cells[i].fastest === 0 || cells[i].slowest > 0 || cells[i].way === 'reverse') continue;
    if (ends[i] > done) return (endOf(cells, ends[i]) - cells[i].fromMs) / 1000;
  }
  return 0;
}

/** End of a possible standstill; without end where the rows stop before it does. */
function endOf(cells: readonly Cell[], end: number): number {
  return end >= cells.length ? Number.POSITIVE_INFINITY : cells[end].fromMs;
}

/**
 * Longest standstill that may count as (b). It may begin at any instant at which standing fits the samples, once the truck
 * may have moved at all (more than slack), unless it has surely come past `clearMetres` with the plate off as late as can
 * be, or the samples show that the load had not begun to go off and that no fall ended in it.
 */
function longestPossible(
  scene: Scene,
  cells: readonly Cell[],
  moveMs: number,
  anchorMs: number,
  dumped: boolean,
): number {
  const begin = cellAt(cells, Math.max(moveMs, scene.standMs));
  let surelyPulling = cellAt(cells, anchorMs);
  while (surelyPulling < cells.length && cells[surelyPulling].slowest === 0) surelyPulling += 1;
  const ends = standEnds(cells, 'slowest');
  let reached = 0;
  let come = 0;
  let longest = 0;
  for (let i = begin; i < cells.length; i++) {
    const cell = cells[i];
    const after = Math.max(come, positionMetres(scene, cells[begin].fromMs, cell.fromMs)) - plateMetres;
    if (after > scene.limits.clearMetres + roundingMetres) break;
    if (cell.slowest === 0) {
      // Within an uncertain cell the movement may come first and the standstill after it.
      const moved = reached + metresIn(cell, cell.fastest) >= slackMetres;
      const end = endOf(cells, ends[i]);
      if (moved && (dumped || loadMayGo(scene, cell.fromMs, end))) longest = Math.max(longest, end - cell.fromMs);
    }
    reached += metresIn(cell, cell.fastest);
    if (i >= surelyPulling)
      come += cell.way === 'reverse' ? -metresIn(cell, cell.fastest) : metresIn(cell, cell.slowest);
  }
  return longest / 1000;
}

/** How far the positions show the truck from where it pulled out, less what positions scatter. */
function positionMetres(scene: Scene, fromMs: number, toMs: number): number {
  return (metresApart(scene.view, fromMs, toMs) ?? 0) - samePlaceMetres;
}

/** False where a sample in or after the stand's beginning shows the load still all on, and its fall cannot end in the stand. */
function loadMayGo(scene: Scene, fromMs: number, toMs: number): boolean {
  const { load, after, wholeMs } = scene;
  if (load === null || after === null || wholeMs < fromMs) return true;
  const atEnd = load.series.samples.find((s) => s.timeMs >= toMs);
  return atEnd === undefined || atEnd.value - atEnd.slack <= after + endTolerance(load);
}
