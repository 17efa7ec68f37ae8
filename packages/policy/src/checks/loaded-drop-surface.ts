/**
 * Loaded drop surface: a loaded trailer is left only where the sites file says that the ground bears it. Yes or no; nothing
 * is inferred of the ground.
 *
 * `missed` says three things of one trailer, and each has to be proven. That it was loaded: by the truck's level under a full
 * trailer as the vehicles file states it, because one that was learned is only the highest seen so far, and may be that of a
 * part load. That it stands in that site: by a position of the time, well within. And what the ground bears: the sites file.
 */
import type { Uncoupling, Vehicle } from '@gearhold/episodes';
import { z } from 'zod';
import { cannotJudge, defineCheck, type Finding, found, inWords, notAsked } from '../check.ts';
import { samplesOf } from '../evidence/samples.ts';
import { measuredBetween } from '../verdict.ts';

/** Shares of a full kingpin load from which a trailer is called so (contract), and what stated levels leave open. */
const leastShare = { part: 0.4, loaded: 0.7 } as const;
const openShare = 0.05;
/** Widths of the sensor's noise that a settled level may be off by. */
const openWidths = 3;
/** A lift axle raised with the brake set moves this share of the load onto the drive axle at most (common practice). */
const liftShare = 0.3;
/** A receiver is off by up to 10 m, and sits up to 10 m from the legs of the trailer (common practice). */
const leastMarginM = 20;
/** A position of so long before or after the load went is one of the drop, ms: the tractor stands, or creeps out. */
const positionMs = 60_000;

/** Whether the load lies past a share of the stated full load, whatever noise, the statement and a lift axle leave open. */
function surelyPast({ levelBefore, evidence }: Uncoupling, share: number, vehicle: Vehicle | null): boolean {
  const { bobtail, loaded, noise, step } = evidence.learned;
  if (levelBefore === null || bobtail === null || loaded === null || loaded <= bobtail) return false;
  if (vehicle?.levels?.loadedKpa !== loaded) return false;
  const open = openShare + (openWidths * Math.max(noise, step)) / (loaded - bobtail);
  const least = vehicle.liftAxle === false ? levelBefore : levelBefore / (1 + liftShare);
  return (least - bobtail) / (loaded - bobtail) - open > share;
}

/** Whether a position was reported while the trailer was left. */
function isPlacedInTime({ evidence, loadTransferTime }: Uncoupling): boolean {
  const { low, high } = loadTransferTime;
  const within = (timeMs: number) => timeMs >= low - positionMs && timeMs <= high + positionMs;
  return samplesOf(evidence, 'latitude').times.some(within) && samplesOf(evidence, 'longitude').times.some(within);
}

export const loadedDropSurface = defineCheck({
  name: 'loaded-drop-surface',
  title: 'loaded trailers left only on ground that bears them',
  kinds: ['uncoupling'],
  needs: ['suspensionKpa', 'latitude', 'longitude'],
  uses: ['axleLoadKg'],
  gapOf: ({ vehicle, sites }) => {
    if (sites.every(({ bearsLoadedTrailer }) => bearsLoadedTrailer === undefined))
      return { never: 'judged', why: 'no sites file says where the ground bears a loaded trailer' };
    if (vehicle?.levels?.loadedKpa !== undefined) return null;
    return {
      never: 'missed',
      why: 'loadedKpa of the truck is not stated, and a learned level may be that of a part load',
    };
  },
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
  judge: (episode, limits, { site, marginM, vehicle }): Finding => {
    const load = episode.trailerLoad;
    if (load === 'empty' || (load === 'part' && limits.fromLoad === 'loaded'))
      return notAsked(limits, `the trailer was ${load === 'empty' ? 'empty' : 'part loaded'}`);
    if (site === null) return cannotJudge(limits, 'the place is in no site of the sites file');
    const bears = site.bearsLoadedTrailer;
    if (bears === undefined)
      return cannotJudge(limits, 'the sites file does not say whether the ground bears a loaded trailer');
    if (load === 'unknown' && !bears) return cannotJudge(limits, 'it is not known whether the trailer was loaded');
    if (!bears && vehicle?.levels?.loadedKpa === undefined) {
      const why =
        'the level under a full trailer was learned, and may be that of a part load; state loadedKpa of the truck';
      return cannotJudge(limits, why);
    }
    if (!bears && !surelyPast(episode, leastShare[limits.fromLoad], vehicle)) {
      return cannotJudge(limits, 'the load lies too near the limit to say that the trailer was loaded');
    }
    if (!isPlacedInTime(episode)) return cannotJudge(limits, 'no position was reported while the trailer was left');
    if (marginM === undefined || marginM < leastMarginM)
      return cannotJudge(limits, 'the place lies too near the edge of the site to say that the trailer stands in it');
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
