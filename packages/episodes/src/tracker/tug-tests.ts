/**
 * Tug tests: pulls forward against the trailer's set brakes. Forward gear, torque, hardly any travel; without a torque
 * signal, a forward movement of less than a few steps that ends at once.
 */
import { type Interval, interval } from '../bounds/interval.ts';
import { standingValues } from '../track/standing-values.ts';
import type { Scene } from './scene.ts';

/** Torque above the engine's own at idle that shows a pull, % of reference (common practice). */
const pullTorquePct = 8;
/** A pull that goes further than this is no tug test, m (common practice). */
const longestTugMetres = 2;
/** Signs closer together than this are one pull, ms. */
const onePullMs = 4000;

export function findTugTests(scene: Scene, fromMs: number, toMs: number): Interval[] {
  const found: Interval[] = [...byTorque(scene, fromMs, toMs)];
  for (const move of scene.moves) {
    if (move.kind === 'reverse' || move.start.best < fromMs || move.end.best > toMs) continue;
    if (move.metres.best > longestTugMetres) continue;
    found.push(interval(move.start.low, move.end.high, (move.start.best + move.end.best) / 2));
  }
  return joined(found.sort((a, b) => a.best - b.best || a.low - b.low));
}

function byTorque(scene: Scene, fromMs: number, toMs: number): Interval[] {
  const { track, columns } = scene;
  const torque = standingValues(track, 'torquePct', scene.cadence('torquePct'));
  const { gear, parkingBrake } = columns;
  if (torque === null || gear === null) return [];
  const times = track.timesMs;
  const idle = idleTorque(torque, gear, times, fromMs - 120_000, toMs);
  if (Number.isNaN(idle)) return [];
  const found: Interval[] = [];
  let first = -1;
  for (let row = 0; row <= track.length; row++) {
    const pulls =
      row < track.length &&
      times[row] >= fromMs &&
      times[row] < toMs &&
      gear[row] > 0 &&
      parkingBrake?.[row] !== 1 &&
      torque[row] >= idle + pullTorquePct;
    if (pulls && first < 0) first = row;
    if (!pulls && first >= 0) {
      const low = times[Math.max(0, first - 1)];
      const high = times[Math.min(track.length - 1, row)];
      found.push(interval(low, high, (times[first] + times[row - 1]) / 2));
      first = -1;
    }
  }
  return found;
}

/** The engine's own torque at standstill out of gear, or the lowest quarter where it never is. */
function idleTorque(
  torque: Float64Array,
  gear: Float64Array,
  times: Float64Array,
  fromMs: number,
  toMs: number,
): number {
  const idle: number[] = [];
  const all: number[] = [];
  for (let row = 0; row < times.length; row++) {
    if (times[row] < fromMs || times[row] > toMs || Number.isNaN(torque[row])) continue;
    all.push(torque[row]);
    if (gear[row] === 0) idle.push(torque[row]);
  }
  const values = (idle.length >= 3 ? idle : all).sort((a, b) => a - b);
  if (values.length === 0) return Number.NaN;
  return values[Math.floor(values.length * (idle.length >= 3 ? 0.5 : 0.25))];
}

function joined(found: readonly Interval[]): Interval[] {
  const out: Interval[] = [];
  for (const pull of found) {
    const last = out.at(-1);
    if (last !== undefined && pull.low - last.high <= onePullMs && pull.best - last.best < onePullMs + 4000) {
      out[out.length - 1] = interval(Math.min(last.low, pull.low), Math.max(last.high, pull.high), last.best);
    } else out.push(pull);
  }
  return out;
}
