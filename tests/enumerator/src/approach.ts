/**
 * What the last approach of a coupling shares between checks: the two motion tables, and between which instants the load
 * began to come on and the kingpin came home. The truth says which reversing and which rise are meant; the instants come
 * from the rows.
 */
import { type Load, loadOf, medianOf } from './load.ts';
import { type Cell, motion } from './motion.ts';
import type { TrueAnchor } from './row.ts';
import { samplesIn, type View } from './series.ts';
import { cellAt } from './stands.ts';

export interface Approach {
  readonly proven: readonly Cell[];
  readonly possible: readonly Cell[];
  readonly load: Load | null;
  /** Load signal as the approach begins; null where it is not settled. */
  readonly before: number | null;
  /** Last sample without any rise; -Infinity where none can tell. */
  readonly contactLowMs: number;
  /** First sample from which on the rise can be nothing but the trailer; Infinity where none can tell. */
  readonly contactHighMs: number;
  /** Last sample that shows it moving before the kingpin was home. */
  readonly homeLowMs: number;
  /** First instant from which it is proven to stand with the kingpin home. */
  readonly homeHighMs: number;
  /** When the kingpin was about home: says which stop is meant. */
  readonly anchorMs: number;
}

const beforeMs = 180_000;
const afterMs = 60_000;
const levelMs = 10_000;
const levelSamples = 5;
/** A lift axle shifts at most this share of the tractor's own load; common practice. */
const liftShare = 0.35;

export function approachOf(view: View, episode: TrueAnchor): Approach {
  const home = episode.facts?.homeTime;
  const anchorMs = typeof home === 'number' ? home : (episode.milestones.seatedTime ?? episode.loadTransferTime);
  const startMs = episode.milestones.approachTime ?? episode.startTime;
  const load = loadOf(view, episode);
  const loadMoves = load === null ? Number.POSITIVE_INFINITY : Math.max(5 * load.noise + load.step, load.tolerance);
  const window = [startMs - beforeMs, anchorMs + afterMs] as const;
  const proven = motion(view, { proof: 'met', window, loadMoves, backing: true });
  const possible = motion(view, { proof: 'missed', window, loadMoves, backing: true });
  const before = load === null ? null : settledBefore(load, startMs);
  const [contactLowMs, contactHighMs] = contactOf(view, load, before, episode);
  return {
    proven,
    possible,
    load,
    before,
    contactLowMs,
    contactHighMs,
    homeLowMs: lastMoving(view, startMs, anchorMs),
    homeHighMs: firstStanding(proven, anchorMs),
    anchorMs,
  };
}

/** Level of the last samples before the run; null while the springs are still being filled or emptied. */
function settledBefore(load: Load, startMs: number): number | null {
  const last = samplesIn(load.series, startMs - levelMs, startMs).slice(-levelSamples);
  const values = last.map((s) => s.value);
  return Math.max(...values) - Math.min(...values) <= 2 * load.tolerance ? medianOf(last) : null;
}

/** The pair of instants between which the load began to come on. */
function contactOf(view: View, load: Load | null, before: number | null, episode: TrueAnchor): [number, number] {
  if (load === null || before === null) return [Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY];
  const samples = samplesIn(load.series, Number.NEGATIVE_INFINITY, episode.endTime + afterMs);
  // Without the trailer the signal may come up to the tractor's own level, and a lift axle may add its share.
  const own = view.known.bobtail ?? (load.perKpa === 1 ? episode.pressureBeforeKpa : before);
  const alone = Math.max(own, before) * (view.known.liftAxle === false ? 1 : 1 + liftShare);
  const loaded = samples.findIndex(
    (s) => s.timeMs >= episode.loadTransferTime && s.value - s.slack > alone + load.tolerance,
  );
  if (loaded < 0) return [Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY];
  let first = loaded;
  while (first > 0 && samples[first - 1].value - samples[first - 1].slack > alone + load.tolerance) first -= 1;
  const little = 3 * load.noise + load.step + 0.005 * load.transfer;
  const still = samples.findLast((s, i) => i < first && s.value + s.slack <= before + little);
  return [still?.timeMs ?? Number.NEGATIVE_INFINITY, samples[first].timeMs];
}

/** Last sample up to the anchor that shows movement, or the start where none does. */
function lastMoving(view: View, startMs: number, anchorMs: number): number {
  const moving = samplesIn(view.series('speedKph'), startMs, anchorMs).findLast((s) => s.value - s.slack > 0);
  return moving?.timeMs ?? startMs;
}

function firstStanding(cells: readonly Cell[], anchorMs: number): number {
  const first = cellAt(cells, anchorMs);
  const standing = cells.find((cell, i) => i >= first && cell.fastest === 0);
  return standing === undefined ? cells[cells.length - 1].toMs : Math.max(standing.fromMs, anchorMs);
}
