/**
 * Parking brake set while standing, before the driver leaves the cab: after the kingpin is home, and before a trailer is
 * left.
 *
 * Yes or no. Where the door is reported, the brake is looked at whenever it opens at standstill. Where it is not, nobody knows
 * when the driver left, or whether at all: then a no cannot be proven, and a yes only by a brake that was applied in every
 * stretch long enough to get out and back in and without a sign of somebody at the controls.
 */
import type { Coupling, Evidence, Uncoupling } from '@gearhold/episodes';
import type { SignalName } from '@gearhold/signals';
import { z } from 'zod';
import { cannotJudge, defineCheck, type Finding, found, inWords, type Limits } from '../check.ts';
import { firstAfter, lastAtOrBefore, type Samples, samplesOf, valueAt } from '../evidence/samples.ts';
import type { Stretch } from '../evidence/standing.ts';
import { measuredBetween } from '../verdict.ts';

export const parkingBrakeSet = defineCheck({
  name: 'parking-brake-set',
  title: 'parking brake before leaving the cab',
  kinds: ['coupling', 'uncoupling'],
  needs: ['speedKph', 'parkingBrake'],
  uses: ['driverDoorOpen', 'gear', 'serviceBrake', 'clutch'],
  proofs: { missed: { reported: ['driverDoorOpen'], dense: ['parkingBrake'] } },
  limits: {
    awaySeconds: {
      schema: z.number().min(0).max(600),
      meaning: 'Shortest time in which somebody leaves the cab and comes back, where no door is reported, s.',
      builtIn: 10,
      source: 'common practice',
    },
  },
  concern: 'driver',
  urgency: 'routine',
  because:
    'the driver sets it; a truck that rolls while somebody stands between tractor and trailer can kill, so it is talked over',
  source: 'public CDL manual, coupling steps 5 and 12, uncoupling steps 2 and 8',
  judge,
});

function judge(episode: Coupling | Uncoupling, limits: Limits & { readonly awaySeconds: number }): Finding {
  const { evidence } = episode;
  const [from, to] =
    episode.kind === 'coupling'
      ? [episode.milestones.seatedTime, episode.milestones.departureTime]
      : [episode.milestones.standTime, episode.milestones.pullOutTime];
  if (from === null || to === null) return cannotJudge(limits, 'the readings do not show the whole standstill');
  const brake = samplesOf(evidence, 'parkingBrake');
  if (brake.times.length === 0) return cannotJudge(limits, 'the parking brake was not reported');
  const window = { startMs: from.high, endMs: to.low };
  const openings = doorOpenings(samplesOf(evidence, 'driverDoorOpen'), window);
  const away = openings.length > 0 ? openings : unattended(evidence, window, limits.awaySeconds * 1000);
  const applied = away.length > 0 && away.every((stretch) => appliedThrough(brake, stretch));
  const opensUnbraked = openings.some((opening) => offThrough(brake, opening));
  return found({
    measured: measuredBetween(applied ? 1 : 0, applied ? 1 : 0, opensUnbraked ? 0 : 1, '0/1'),
    ask: 'at-least',
    against: 1,
    limit: limits,
    window: { startMs: from.best, endMs: Math.max(from.best, to.best) },
    says: inWords(
      {
        met: 'The parking brake was set while the truck stood.',
        missed: 'The door was opened at standstill with the parking brake off.',
        undetermined: 'the readings do not show whether the parking brake was set whenever the driver left the cab.',
      },
      { value: 1, unit: 'count' },
    ),
  });
}

/** Every opening of the door in the window, from the last sample that shows it shut to the first that shows it open. */
function doorOpenings(door: Samples, window: Stretch): Stretch[] {
  const openings: Stretch[] = [];
  for (let i = 1; i < door.times.length; i++) {
    const opening = { startMs: door.times[i - 1]!, endMs: door.times[i]! };
    if (opening.startMs < window.startMs || opening.endMs > window.endMs) continue;
    if (door.values[i] === 1 && door.values[i - 1] === 0) openings.push(opening);
  }
  return openings;
}

/** Stretches of at least `awayMs` in which nobody presses a pedal, moves the gear lever or works the brake valve. */
function unattended(evidence: Evidence, window: Stretch, awayMs: number): Stretch[] {
  const signs = [window.startMs, window.endMs];
  const note = (signal: SignalName, shows: (samples: Samples, i: number) => boolean) => {
    const samples = samplesOf(evidence, signal);
    for (let i = firstAfter(samples, window.startMs); samples.times[i]! < window.endMs; i++) {
      if (shows(samples, i)) signs.push(samples.times[i]!);
    }
  };
  const pressed = ({ values }: Samples, i: number) => values[i] === 1;
  const worked = ({ values }: Samples, i: number) => i > 0 && values[i] !== values[i - 1];
  note('serviceBrake', pressed);
  note('clutch', pressed);
  note('gear', worked);
  note('parkingBrake', worked);
  signs.sort((a, b) => a - b);
  const stretches = signs.slice(1).map((endMs, i) => ({ startMs: signs[i]!, endMs }));
  return stretches.filter(({ startMs, endMs }) => endMs - startMs >= awayMs);
}

/** Whether the brake is applied at both ends and at every sample between; the sign that ends a stretch may release it. */
function appliedThrough(brake: Samples, { startMs, endMs }: Stretch): boolean {
  if (valueAt(brake, startMs) !== 1) return false;
  for (let i = firstAfter(brake, startMs); brake.times[i]! < endMs; i++) if (brake.values[i] !== 1) return false;
  return true;
}

/** Whether the brake is shown off from before the stretch to after it, without a gap that could hide it set. */
function offThrough(brake: Samples, { startMs, endMs }: Stretch): boolean {
  let i = lastAtOrBefore(brake, startMs);
  if (i < 0 || brake.values[i] !== 0) return false;
  for (; brake.times[i]! < endMs; i++) {
    if (!(brake.times[i + 1]! - brake.times[i]! <= brake.proofGapMs) || brake.values[i + 1] !== 0) return false;
  }
  return true;
}
