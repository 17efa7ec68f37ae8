/**
 * Load lost under way: the fifth-wheel load vanished while driving. A separation, or a burst air spring: both are urgent, and
 * the data do not tell them apart. Measured is the speed at which it vanished.
 */
import type { LoadLoss } from '@gearhold/episodes';
import { z } from 'zod';
import { cannotJudge, defineCheck, type Finding, found, inWords, type Limits } from '../check.ts';
import { firstAfter, lastAtOrBefore, samplesOf } from '../evidence/samples.ts';
import { measuredBetween } from '../verdict.ts';

export const loadLostUnderWay = defineCheck({
  name: 'load-lost-under-way',
  title: 'load on the fifth wheel throughout the drive',
  kinds: ['load-loss'],
  needs: ['speedKph', 'suspensionKpa'],
  uses: ['axleLoadKg'],
  limits: {
    maxKph: {
      schema: z.number().min(0).max(120),
      meaning: 'Speed above which a vanished load is no uncoupling, km/h.',
      builtIn: 15,
      source: 'house policy: nobody leaves a trailer at this speed',
    },
  },
  concern: 'unclear',
  urgency: 'urgent',
  because:
    'a trailer may have separated, or an air spring burst: somebody may be in danger now, and nobody knows yet whose matter it is',
  source: 'common practice',
  judge,
});

/** Pressure says half gone somewhat before or after the load is, by its noise and by what the springs take to follow, ms. */
const lagMs = 2000;

function judge(episode: LoadLoss, limits: Limits & { readonly maxKph: number }): Finding {
  const { loadTransferTime: lost } = episode;
  const speed = samplesOf(episode.evidence, 'speedKph');
  const first = lastAtOrBefore(speed, lost.low - lagMs);
  let last = lastAtOrBefore(speed, lost.high + lagMs);
  if (last >= 0 && speed.times[last]! < lost.high + lagMs) last += 1;
  if (first < 0 || last >= speed.times.length) return cannotJudge(limits, 'speed was not reported around the loss');
  if (wasGoing(episode))
    return cannotJudge(limits, 'the load had been going off for a while, as springs do that settle');
  const around = speed.values.slice(first, last + 1);
  const gaps = around.map((_, i) => (i === 0 ? 0 : speed.times[first + i]! - speed.times[first + i - 1]!));
  if (Math.max(...gaps) > speed.standsMs)
    return cannotJudge(limits, 'speed was not reported often enough around the loss');
  const low = Math.max(0, Math.min(...around) - speed.silentBelow);
  const high = Math.max(...around) + speed.silentBelow;
  return found({
    measured: measuredBetween((low + high) / 2, low, high, 'km/h'),
    ask: 'at-most',
    against: limits.maxKph,
    limit: limits,
    window: { startMs: lost.low, endMs: lost.high },
    says: inWords(
      {
        met: 'The load left the fifth wheel at {measured} {sure}, not faster than {asked}.',
        missed: 'The load on the fifth wheel vanished at {measured} {sure}: a separation, or a burst air spring.',
        undetermined:
          'the load on the fifth wheel vanished at {measured} {sure}, and the readings do not show whether faster than {asked}.',
      },
      { value: limits.maxKph, unit: 'km/h' },
    ),
  });
}

/** A load that is lost goes within seconds, ms: before them it is all there. */
const suddenMs = 2000;
const lookBackMs = 12_000;
/** So much of it gone already is more than a rough road shakes off in the mean. */
const goneShare = 0.25;

/** Whether the samples before the loss show that a part of the load had gone by then. */
function wasGoing({ evidence, loadSignal, levelBefore, levelAfter, loadTransferTime }: LoadLoss): boolean {
  if (levelBefore === null || levelAfter === null) return false;
  const load = samplesOf(evidence, loadSignal);
  const since = firstAfter(load, loadTransferTime.low - lookBackMs);
  const before = load.values.slice(since, firstAfter(load, loadTransferTime.low - suddenMs));
  if (before.length < 2) return false;
  const mean = before.reduce((sum, level) => sum + level, 0) / before.length;
  return mean < levelBefore - goneShare * (levelBefore - levelAfter);
}
