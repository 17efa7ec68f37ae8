/**
 * What the load did as the kingpin arrived. The plate climbs the ramps over about a metre of reverse travel (design), so a
 * trailer shows at the end of a backing; a lift axle that is raised in reverse gear shows at its beginning, and a dock loads
 * minutes after it.
 */
import type { Move } from '../motion/moves.ts';
import type { Scene } from './scene.ts';

/** Further than this before the end of a backing no trailer is met, m: the ramps, and what an odometer of speeds may err. */
const rampMetres = 4;
/** Length of the stretch before that in which the level of the approach is read, m. */
const stretchMetres = 8;
/** The load that comes on as the kingpin arrives is there within this, ms: levelling of a loaded trailer begins at once. */
const arrivedWithinMs = 30_000;

/** When a backing was still `metres` from its end, ms; its beginning where it was shorter. */
function instantBeforeEnd(scene: Scene, backing: Move, metres: number): number {
  const { speed } = scene.columns;
  const times = scene.track.timesMs;
  let left = metres;
  let row = backing.lastRow;
  while (row > backing.firstRow && left > 0) {
    const seconds = (times[row] - times[row - 1]) / 1000;
    const faster = speed === null ? 0 : Math.max(speed[row] || 0, speed[row - 1] || 0);
    left -= (seconds * faster) / 3.6;
    row -= 1;
  }
  return left > 0 ? backing.start.low : times[row];
}

/** A pull no longer than this does not take the trailer away, m. */
const tugMetres = 2;

export interface Approach {
  /** Level with which the truck came, before any trailer can have been met. */
  readonly level: number;
  /** Until when no trailer can have been met, ms. */
  readonly untilMs: number;
}

/** The level of the approach, or null where no sample tells. */
export function approachOf(scene: Scene, backing: Move): Approach | null {
  const untilMs = instantBeforeEnd(scene, backing, rampMetres);
  const fromMs = instantBeforeEnd(scene, backing, rampMetres + stretchMetres);
  const within = scene.series.levelBefore(untilMs, Math.max(2000, untilMs - fromMs), 2, fromMs - 30_000);
  return within.count === 0 ? null : { level: within.level, untilMs };
}

/**
 * The largest share of a rise that came on with the arrival of one of the backings between two instants, ms: next to nothing
 * at a dock, most of it under a trailer of the right height.
 */
export function shareOnArrival(scene: Scene, rise: number, fromMs: number, toMs: number): number {
  let most = 0;
  for (const move of scene.moves) {
    if (move.kind === 'forward' || move.end.best < fromMs || move.start.best > toMs) continue;
    const approach = approachOf(scene, move);
    if (approach === null) continue;
    const next = scene.moves.find((m) => m.start.best > move.end.best && m.metres.best > tugMetres);
    const untilMs = Math.min(move.end.high + arrivedWithinMs, next?.start.low ?? Infinity);
    const arrived = scene.series.levelBefore(untilMs, 8000, 2, approach.untilMs);
    if (arrived.count > 0) most = Math.max(most, (arrived.level - approach.level) / rise);
  }
  return most;
}
