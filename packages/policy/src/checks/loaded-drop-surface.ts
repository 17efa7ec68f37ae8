/**
 * Loaded drop surface: a loaded trailer is left only where the sites file says that the ground bears it. Yes or no; nothing
 * is inferred of the ground.
 */
import type { Uncoupling, Vehicle } from '@gearhold/episodes';
import { z } from 'zod';
import { cannotJudge, defineCheck, type Finding, found, inWords, notAsked } from '../check.ts';
import { measuredBetween } from '../verdict.ts';

/** Shares of a full kingpin load from which a trailer is called so (contract), and what learned levels leave open. */
const leastShare = { part: 0.4, loaded: 0.7 } as const;
const openShare = 0.1;
/** A lift axle raised with the brake set moves this share of the load onto the drive axle at most (common practice). */
const liftShare = 0.3;
/** Level of a full kingpin load at most, kPa, where none is stated (published air-spring design example: 520). */
const usualFullKpa = 520;

/** Whether the load lies past a share whatever noise, learning and a lift axle leave open. */
function surelyPast(episode: Uncoupling, share: number, vehicle: Vehicle | null): boolean {
  const { levelBefore, loadSignal } = episode;
  const { bobtail, loaded, noise, step } = episode.evidence.learned;
  const stated = vehicle?.levels?.loadedKpa;
  if (levelBefore === null || bobtail === null || loadSignal !== 'suspensionKpa') return false;
  // The heaviest trailer seen so far need not have been full.
  const full = stated ?? Math.max(loaded ?? 0, usualFullKpa);
  if (full <= bobtail) return false;
  const open = openShare + Math.max(noise, step) / (full - bobtail);
  const least = vehicle?.liftAxle === false ? levelBefore : levelBefore / (1 + liftShare);
  return (least - bobtail) / (full - bobtail) - open > share;
}

export const loadedDropSurface = defineCheck({
  name: 'loaded-drop-surface',
  title: 'loaded trailers left only on ground that bears them',
  kinds: ['uncoupling'],
  needs: ['suspensionKpa', 'latitude', 'longitude'],
  uses: ['axleLoadKg'],
  limits: {
    fromLoad: {
      schema: z.enum(['part', 'loaded']),
      meaning: 'The least load of which it is asked.',
      builtIn: 'loaded',
      source: 'house policy',
    },
  },
  concern: 'yard',
  urgency: 'today',
  because:
    'the yard says where loaded trailers stand; landing gear that sinks in tips the trailer over hours, not days',
  source: 'public CDL manual, uncoupling step 1: make sure that the surface can support the weight of the trailer',
  judge: (episode, limits, { site, vehicle }): Finding => {
    const load = episode.trailerLoad;
    if (load === 'empty' || (load === 'part' && limits.fromLoad === 'loaded'))
      return notAsked(limits, `the trailer was ${load === 'empty' ? 'empty' : 'part loaded'}`);
    if (site === null) return cannotJudge(limits, 'the place is in no site of the sites file');
    const bears = site.bearsLoadedTrailer;
    if (bears === undefined)
      return cannotJudge(limits, 'the sites file does not say whether the ground bears a loaded trailer');
    if (load === 'unknown' && !bears) return cannotJudge(limits, 'it is not known whether the trailer was loaded');
    if (!bears && !surelyPast(episode, leastShare[limits.fromLoad], vehicle)) {
      return cannotJudge(limits, 'the load lies too near the limit to say that the trailer was loaded');
    }
    const answer = bears ? 1 : 0;
    return found({
      measured: measuredBetween(answer, answer, answer, '0/1'),
      ask: 'at-least',
      against: 1,
      limit: limits,
      window: null,
      says: inWords(
        {
          met: 'The trailer was left where the sites file says that the ground bears it.',
          missed: 'A {load} trailer was left where the sites file says that the ground does not bear it.',
          undetermined: 'the ground is not known.',
        },
        { value: 1, unit: 'count' },
        { load: load === 'part' ? 'part loaded' : 'loaded' },
      ),
    });
  },
});
