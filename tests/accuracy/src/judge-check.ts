/**
 * One verdict against the truth. `false-missed` is the worst: a person is said not to have done what was done. Coverage
 * asks whether the true value lies within the bounds that were given.
 */
import { engineStandIn, type TrueCheck, type TrueEpisode } from '@gearhold/fixtures';
import type { FoundCheck } from './wire.ts';

export type Agreement = 'right' | 'false-missed' | 'false-met' | 'undetermined' | 'open' | 'not-asked';

/**
 * What a sensor's resolution, one step of the simulation, and the unsteadiness between two samples that the contract takes
 * as no change (creeping wanders by some tenths of a km/h) may take off or add, by unit.
 */
const tolerance: Readonly<Record<string, number>> = { s: 0.11, '%': 0.45, 'r/min': 12, 'km/h': 0.5, m: 0.05 };

/** Truth of the check as far as this verdict's unit can say it. */
export function truthFor(found: FoundCheck, truth: TrueCheck, episode: TrueEpisode): TrueCheck {
  if (found.check !== 'backing-above-idle' || found.measured?.unit !== 'r/min' || truth.unit === 'r/min') return truth;
  return engineStandIn(truth, Number(episode.facts.highestRpmAboveIdle));
}

export function agreement(found: FoundCheck, truth: TrueCheck): Agreement {
  if (found.outcome === 'undetermined') return 'undetermined';
  if (truth.outcome === 'not-applicable') {
    // Not asked: a missed would accuse somebody of what was not asked.
    return found.outcome === 'not-applicable' ? 'right' : found.outcome === 'missed' ? 'false-missed' : 'open';
  }
  if (truth.outcome === 'either') return 'open';
  if (found.outcome === 'not-applicable') return 'not-asked';
  if (found.outcome === truth.outcome) return 'right';
  return found.outcome === 'missed' ? 'false-missed' : 'false-met';
}

/** Whether the bounds hold the truth; null where there is nothing to compare. */
export function covers(found: FoundCheck, truth: TrueCheck): boolean | null {
  const measured = found.measured;
  if (measured === null || truth.low === null) return null;
  if (found.outcome === 'not-applicable' || truth.outcome === 'not-applicable') return null;
  const slack = tolerance[measured.unit] ?? 0;
  const low = measured.low ?? Number.NEGATIVE_INFINITY;
  const high = measured.high ?? Number.POSITIVE_INFINITY;
  return (truth.high ?? Number.POSITIVE_INFINITY) >= low - slack && truth.low <= high + slack;
}
