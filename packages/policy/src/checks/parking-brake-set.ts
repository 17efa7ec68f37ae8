/**
 * Parking brake set while standing, before the driver leaves the cab: after the kingpin is home, and before a trailer is
 * left.
 *
 * Yes or no. Where the door is reported, the brake is looked at as it first opens. Where it is not, a brake set soon after the
 * truck came to rest is a yes, and one never set through a standstill long enough to get out is a no.
 */
import type { Coupling, Interval, Uncoupling } from '@gearhold/episodes';
import { z } from 'zod';
import { cannotJudge, defineCheck, type Finding, found, inWords, type Limits, notAsked } from '../check.ts';
import { lastAtOrBefore, type Samples, samplesOf, valueAt } from '../evidence/samples.ts';
import { roomForStandstill, type Stretch, sureStandstills } from '../evidence/standing.ts';
import { measuredBetween } from '../verdict.ts';

export const parkingBrakeSet = defineCheck({
  name: 'parking-brake-set',
  title: 'parking brake before leaving the cab',
  kinds: ['coupling', 'uncoupling'],
  needs: ['speedKph', 'parkingBrake'],
  uses: ['driverDoorOpen', 'gear', 'serviceBrake', 'ignition'],
  limits: {
    setWithinSeconds: {
      schema: z.number().min(0).max(3600),
      meaning:
        'How soon after coming to rest a brake counts as set before leaving the cab, where no door is reported, s.',
      builtIn: 30,
      source: 'common practice',
    },
    standSeconds: {
      schema: z.number().min(0).max(3600),
      meaning: 'Shortest standstill without the brake that counts against it, where no door is reported, s.',
      builtIn: 60,
      source: 'common practice: nobody connects lines or cranks the landing gear in less',
    },
  },
  concern: 'driver',
  urgency: 'routine',
  because:
    'the driver sets it; a truck that rolls while somebody stands between tractor and trailer can kill, so it is talked over',
  source: 'public CDL manual, coupling steps 5 and 12, uncoupling steps 2 and 8',
  judge,
});

type BrakeLimits = Limits & { readonly setWithinSeconds: number; readonly standSeconds: number };

function judge(episode: Coupling | Uncoupling, limits: BrakeLimits): Finding {
  const { evidence } = episode;
  const [from, to] =
    episode.kind === 'coupling'
      ? [episode.milestones.seatedTime, episode.milestones.departureTime]
      : [episode.milestones.standTime, episode.milestones.pullOutTime];
  if (from === null || to === null) return cannotJudge(limits, 'the readings do not show the whole standstill');
  const brake = samplesOf(evidence, 'parkingBrake');
  if (brake.times.length === 0) return cannotJudge(limits, 'the parking brake was not reported');
  const sure = { startMs: from.high, endMs: to.low };
  const stands = sureStandstills(evidence, episode.loadSignal, sure.startMs, sure.endMs);
  const longest = Math.max(0, ...stands.map((stand) => (stand.endMs - stand.startMs) / 1000));
  const opening = firstOpening(samplesOf(evidence, 'driverDoorOpen'), sure);
  const { low, high } =
    opening !== null ? atTheDoor(brake, opening) : throughTheStandstill(brake, from, to, longest, limits);
  const room = Math.max(0, ...roomForStandstill(evidence, from.low, to.high).map((r) => (r.endMs - r.startMs) / 1000));
  if (low !== high && room < limits.standSeconds && opening === null && !everSet(brake, from.low, to.high)) {
    return notAsked(limits, 'the truck did not stand long enough for anybody to get out');
  }
  return found({
    measured: measuredBetween(low, low, high, '0/1'),
    ask: 'at-least',
    against: 1,
    limit: limits,
    window: { startMs: from.best, endMs: Math.max(from.best, to.best) },
    says: inWords(
      {
        met: 'The parking brake was set while the truck stood.',
        missed:
          opening === null
            ? 'The truck stood for {stood} and the parking brake was never set.'
            : 'The door was opened with the parking brake off.',
        undetermined: 'the readings do not show whether the parking brake was set before the driver left the cab.',
      },
      { value: 1, unit: 'count' },
      { stood: { value: Math.round(longest), unit: 's' } },
    ),
  });
}

interface Answer {
  readonly low: 0 | 1;
  readonly high: 0 | 1;
}

/** The first opening of the door in the window, between the last sample that shows it shut and the first that shows it open. */
function firstOpening(door: Samples, window: Stretch): Stretch | null {
  for (let i = 1; i < door.times.length; i++) {
    if (door.times[i]! > window.endMs) return null;
    if (door.times[i - 1]! >= window.startMs && door.values[i] === 1 && door.values[i - 1] === 0) {
      return { startMs: door.times[i - 1]!, endMs: door.times[i]! };
    }
  }
  return null;
}

function atTheDoor(brake: Samples, opening: Stretch): Answer {
  if (valueAt(brake, opening.startMs) === 1 && valueAt(brake, opening.endMs) === 1) return { low: 1, high: 1 };
  return { low: 0, high: offThrough(brake, opening.startMs, opening.endMs) ? 0 : 1 };
}

function throughTheStandstill(
  brake: Samples,
  from: Interval,
  to: Interval,
  stood: number,
  limits: BrakeLimits,
): Answer {
  const soon = brake.times.some(
    (time, i) =>
      brake.values[i] === 1 && time >= from.low && time <= from.low + limits.setWithinSeconds * 1000 && time <= to.low,
  );
  if (soon) return { low: 1, high: 1 };
  const never = stood >= limits.standSeconds && offThrough(brake, from.low, to.high);
  return { low: 0, high: never ? 0 : 1 };
}

function everSet(brake: Samples, fromMs: number, toMs: number): boolean {
  return brake.times.some((time, i) => brake.values[i] === 1 && time >= fromMs && time <= toMs);
}

/** Whether the brake is shown off from before `fromMs` to after `toMs`, without a gap that could hide it set. */
function offThrough(brake: Samples, fromMs: number, toMs: number): boolean {
  let i = lastAtOrBefore(brake, fromMs);
  if (i < 0 || brake.values[i] !== 0) return false;
  for (; brake.times[i]! < toMs; i++) {
    if (!(brake.times[i + 1]! - brake.times[i]! <= brake.proofGapMs) || brake.values[i + 1] !== 0) return false;
  }
  return true;
}
