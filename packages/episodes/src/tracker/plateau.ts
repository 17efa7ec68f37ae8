/**
 * The level that a trailer had when it was left. A dock may have unloaded it since the last travel, a short pull may have
 * freed the kingpin, and levelling takes its time: the samples before the fall are cut into stretches of one level each, by
 * exact segmentation, and the last that is long enough and above bobtail is the trailer's.
 */
import type { Move } from '../motion/moves.ts';
import { prefixSums, segmentByPenalty } from '../statistics/segmentation.ts';
import type { Anchor } from './anchors.ts';
import type { Scene } from './scene.ts';

export interface Plateau {
  readonly level: number;
  /** Sample of the series with which it begins. */
  readonly sample: number;
}

/** A level held for less is one passed on the way, ms. */
const shortestPlateauMs = 5000;
/** At most so many samples before the fall are cut up: docks take longer, but their last level is among these. */
const longestSamples = 900;
/** What a break must save, in squared noise times the logarithm of the length: twice that of the Bayesian criterion. */
const penaltyWidths = 4;
/** Levels wander by this share besides the noise. */
const wanderingShare = 0.015;

/** The last stretch of one level within samples [first, last] that is a trailer's: further above `out` than one state. */
function lastPlateau(scene: Scene, out: number, first: number, last: number): Plateau | null {
  const { series, tolerance, noise } = scene;
  const from = Math.max(first, last + 1 - longestSamples);
  const values = series.raw.slice(from, last + 1);
  if (values.length < 2) return null;
  const sigma = Math.max(noise, tolerance.sample / 3, wanderingShare * Math.abs(scene.sprung(series.smooth[last])));
  const penalty = penaltyWidths * sigma * sigma * Math.log(values.length + 1);
  const { breaks } = segmentByPenalty(prefixSums(values), penalty, 2);
  const edges = [0, ...breaks, values.length];
  for (let k = edges.length - 1; k > 0; k--) {
    const begin = from + edges[k - 1];
    const end = from + edges[k] - 1;
    if (series.times[end] - series.times[begin] < Math.max(shortestPlateauMs, 1.5 * scene.loadIntervalMs)) continue;
    const { level } = series.levelBefore(series.times[end], 10_000, 3, series.times[begin]);
    if (level - out > tolerance.distinct(level, out)) return { level, sample: begin };
  }
  return null;
}

/**
 * The level that the trailer had when it was left: a dock may have unloaded it before. Steps back from the last crossing
 * to the last settled stretch above it.
 */
export function plateauBeforeFall(scene: Scene, before: Anchor, after: Anchor, first: number, last: number): Plateau {
  const { series } = scene;
  const low = after.level;
  const edge = low + Math.max(scene.tolerance.distinct(before.level, low) * 0.7, scene.tolerance.sample);
  let i = series.lastCrossing(edge, false, first, last + 1);
  // What is level once the tractor has begun to pull out is the suspension on its way, not a plateau.
  const crossed = i < 0 ? 0 : series.times[i];
  const pull = pullAfterPlateau(scene, before, edge, crossed);
  if (pull !== null && !pushedBack(scene, pull, crossed)) i = Math.min(i, series.indexAt(pull.start.best) - 1);
  // On its way down to empty springs the load may rest at bobtail for some seconds, once the trailer stands on its legs.
  const { bobtail } = scene.levels;
  const out = bobtail === null ? low : Math.max(low, bobtail);
  while (i > first && series.smooth[i] <= edge) i -= 1;
  const plateau = lastPlateau(scene, out, first, i);
  return plateau ?? { level: before.level, sample: first };
}

/** Whether what went off in a pull was put on again by backing before the load went for good. */
function pushedBack(scene: Scene, pull: Move, crossedMs: number): boolean {
  return scene.moves.some(
    (move) => move.kind === 'reverse' && move.start.best > pull.end.best && move.end.best < crossedMs,
  );
}

/**
 * The first forward move after the last standstill at which the trailer was still on: above the lower level, and not
 * reached by a short pull during which the load went.
 */
function pullAfterPlateau(scene: Scene, before: Anchor, edge: number, crossedMs: number): Move | null {
  const { series, moves } = scene;
  const forwards = moves.filter(
    (move) => move.kind !== 'reverse' && move.start.best > before.toMs && move.start.best <= crossedMs,
  );
  for (let k = forwards.length - 1; k >= 0; k--) {
    const pull = forwards[k];
    const still = series.levelBefore(pull.start.low, 5000, 2, pull.start.low - 30_000);
    if (still.count === 0 || still.level <= edge) continue;
    const earlier = moves.findLast((move) => move.end.best < pull.start.best);
    if (earlier === undefined || earlier.kind === 'reverse' || earlier.end.best <= before.toMs) return pull;
    const reached = series.levelBefore(earlier.start.low, 5000, 2, earlier.start.low - 30_000);
    if (reached.count === 0 || reached.level - still.level <= scene.tolerance.distinct(reached.level, still.level))
      return pull;
  }
  return null;
}
