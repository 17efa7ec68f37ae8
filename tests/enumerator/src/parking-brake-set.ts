/**
 * `parking-brake-set`: 1 where the parking brake was applied whenever the driver left the cab, 0 where it was not, 0 to 1
 * where the rows allow both.
 *
 * With the door reported, the driver leaves when it opens at standstill. Without it nobody knows when, or whether at all:
 * then it is proven only that the brake was applied in every stretch that is long enough to leave the cab and come back,
 * and that shows no sign of somebody at the controls.
 */
import type { SignalName } from '@gearhold/signals';
import { atLeast, type Bounds, type TrueAnchor } from './row.ts';
import { samplesIn, type View } from './series.ts';

/** Nobody leaves the cab and returns to it in less; common practice. */
const shortestAwayMs = 10_000;

export function parkingBrakeSet(view: View, episode: TrueAnchor): Bounds {
  const { milestones } = episode;
  const coupling = episode.kind === 'coupling';
  const restMs = (coupling ? milestones.seatedTime : milestones.standTime) ?? episode.startTime;
  const moveMs = (coupling ? milestones.departureTime : milestones.pullOutTime) ?? episode.endTime;
  const brake = view.series('parkingBrake');
  if (brake === null) return atLeast(1, 0, 1);

  const openings = doorOpenings(view, restMs, moveMs);
  if (openings !== null && openings.length > 0) {
    const low = openings.every(([from, to]) => appliedThroughout(view, from, to)) ? 1 : 0;
    const high = openings.some(([from, to]) => releasedThroughout(view, from, to)) ? 0 : 1;
    return atLeast(1, low, high);
  }
  return atLeast(1, appliedWheneverAway(view, restMs, moveMs) ? 1 : 0, 1);
}

/** Between which samples the door opened; null where it is not reported. */
function doorOpenings(view: View, restMs: number, moveMs: number): [number, number][] | null {
  const door = view.series('driverDoorOpen');
  if (door === null) return null;
  return door.samples.flatMap((s, i): [number, number][] => {
    const before = door.samples[i - 1];
    const opens = s.value === 1 && before !== undefined && before.value === 0;
    return opens && before.timeMs >= restMs && s.timeMs <= moveMs ? [[before.timeMs, s.timeMs]] : [];
  });
}

function appliedThroughout(view: View, fromMs: number, toMs: number): boolean {
  const ends = [view.flag('parkingBrake', fromMs), view.flag('parkingBrake', toMs)];
  const between = samplesIn(view.series('parkingBrake'), fromMs, toMs);
  return ends.every((applied) => applied === true) && between.every((s) => s.value === 1);
}

function releasedThroughout(view: View, fromMs: number, toMs: number): boolean {
  const ends = [view.flag('parkingBrake', fromMs), view.flag('parkingBrake', toMs)];
  return ends.every((applied) => applied === false);
}

function appliedWheneverAway(view: View, restMs: number, moveMs: number): boolean {
  const signs = [restMs, ...signsOfDriver(view, restMs, moveMs), moveMs];
  let stretches = 0;
  for (let i = 1; i < signs.length; i++) {
    const [from, to] = [signs[i - 1], signs[i]];
    if (to - from < shortestAwayMs) continue;
    stretches += 1;
    const inside = samplesIn(view.series('parkingBrake'), from, to).filter((s) => s.timeMs < to);
    if (view.flag('parkingBrake', from) !== true || inside.some((s) => s.value !== 1)) return false;
  }
  return stretches > 0;
}

/** Instants at which somebody presses a pedal, or has just worked the gear lever or the brake valve. */
function signsOfDriver(view: View, fromMs: number, toMs: number): number[] {
  const pressed = (signal: SignalName): number[] =>
    samplesIn(view.series(signal), fromMs, toMs)
      .filter((s) => s.value === 1)
      .map((s) => s.timeMs);
  const worked = (signal: SignalName): number[] =>
    samplesIn(view.series(signal), fromMs, toMs)
      .filter((s, i, all) => i > 0 && s.value !== all[i - 1].value)
      .map((s) => s.timeMs);
  const signs = [...pressed('serviceBrake'), ...pressed('clutch'), ...worked('gear'), ...worked('parkingBrake')];
  return signs.sort((a, b) => a - b);
}
