/**
 * What the rows around one true episode allow, check by check: the slow, simple witness that decides which verdicts are
 * provable. It knows the contract's rules and the rows, nothing of how the checks come to theirs.
 */
import { airbagsRestored } from './airbags-restored.ts';
import { approachStop } from './approach-stop.ts';
import { backingAboveIdle } from './backing-above-idle.ts';
import { backingSpeed } from './backing-speed.ts';
import { contactSpeed } from './contact-speed.ts';
import { couplingDwell } from './coupling-dwell.ts';
import { departureInspection } from './departure-inspection.ts';
import { gearHoldPause } from './gear-hold-pause.ts';
import { lampsWhileBacking } from './lamps-while-backing.ts';
import { loadLostUnderWay } from './load-lost-under-way.ts';
import { loadReturned } from './load-returned.ts';
import { loadedDropSurface } from './loaded-drop-surface.ts';
import { parkingBrakeSet } from './parking-brake-set.ts';
import { repeatedAttempts } from './repeated-attempts.ts';
import { type Bounds, builtInLimits, type Known, type Limits, type Row, type TrueAnchor } from './row.ts';
import { View } from './series.ts';
import { suspensionResponse } from './suspension-response.ts';
import { tugTestCount } from './tug-test-count.ts';

/**
 * Bounds of `measured` and the provable outcome of each check that the kind of episode has; none for an attempt.
 *
 * @param rows rows of one vehicle in strictly increasing time, from at least 5 min before the episode's start to 3 min
 *   after its end where the input has them
 */
export function enumerate(
  rows: readonly Row[],
  episode: TrueAnchor,
  limits: Limits = builtInLimits,
  known: Known = { blindSpeedKph: null, releasedPedalPct: null },
): Record<string, Bounds> {
  const view = new View(rows, known);
  if (episode.kind === 'uncoupling') {
    return {
      'gear-hold-pause': gearHoldPause(view, episode, limits.gearHoldPause),
      'parking-brake-set': parkingBrakeSet(view, episode),
      'load-returned': loadReturned(view, episode, limits.loadReturned),
      'loaded-drop-surface': loadedDropSurface(view, episode),
      'airbags-restored': airbagsRestored(view, episode, limits.airbagsRestored),
    };
  }
  if (episode.kind === 'load-loss') {
    return { 'load-lost-under-way': loadLostUnderWay(view, episode, limits.loadLostUnderWay) };
  }
  if (episode.kind !== 'coupling') return {};
  return {
    'backing-above-idle': backingAboveIdle(view, episode, limits.backingAboveIdle),
    'backing-speed': backingSpeed(view, episode, limits.backingSpeed),
    'lamps-while-backing': lampsWhileBacking(view, episode, limits.lampsWhileBacking),
    'approach-stop': approachStop(view, episode, limits.approachStop),
    'suspension-response': suspensionResponse(view, episode),
    'tug-test-count': tugTestCount(view, episode, limits.tugTestCount),
    'parking-brake-set': parkingBrakeSet(view, episode),
    'departure-inspection': departureInspection(view, episode, limits.departureInspection),
    'contact-speed': contactSpeed(view, episode, limits.contactSpeed),
    'coupling-dwell': couplingDwell(view, episode, limits.couplingDwell),
    'repeated-attempts': repeatedAttempts(view, episode, limits.repeatedAttempts),
  };
}
