/**
 * Load returned: load coming back onto the fifth wheel after release: a second hit, or a drag.
 *
 * Measured is the highest share of the fall that came back and was held, % of the fall, between release and moving on for
 * good. It is counted from the lowest that the load had come to, for pressure lags; and from the settled level without a
 * trailer, to which emptied springs refill.
 */
import type { Uncoupling } from '@gearhold/episodes';
import { z } from 'zod';
import { cannotJudge, defineCheck, type Finding, found, inWords, type Limits } from '../check.ts';
import { offBefore } from '../evidence/earlier-pause.ts';
import { possiblyHeld, provenHeld } from '../evidence/held-level.ts';
import { type Samples, samplesOf } from '../evidence/samples.ts';
import { measuredBetween } from '../verdict.ts';

/** A fall of fewer noise widths or steps than this tells nothing of what came back. */
const clearWidths = 10;
const clearSteps = 5;
/** Noise that a proof grants, in widths. */
const grantedWidths = 3;
/** What the road and the levelling valve may add to a level for a while, as a share of the level (common practice). */
const shakenShare = 0.05;

export const loadReturned = defineCheck({
  name: 'load-returned',
  title: 'no load back on the fifth wheel after release',
  kinds: ['uncoupling'],
  needs: ['suspensionKpa'],
  uses: ['axleLoadKg', 'speedKph'],
  proofs: { missed: { dense: ['suspensionKpa'] } },
  limits: {
    maxReturnedPct: {
      schema: z.number().min(0).max(100),
      meaning: 'Highest share of the load that may come back, % of the fall.',
      builtIn: 40,
      source: 'house policy: above the swing of a levelling valve',
    },
    sustainedSeconds: {
      schema: z.number().positive().max(60),
      meaning: 'How long it must be held to count, s.',
      builtIn: 2,
      source: 'house policy',
    },
  },
  concern: 'unclear',
  urgency: 'today',
  because:
    'the tractor may have been pushed back under, or the landing gear may have given way: somebody should look at the trailer',
  source: 'common practice',
  judge,
});

type ReturnLimits = Limits & { readonly maxReturnedPct: number; readonly sustainedSeconds: number };

function judge(episode: Uncoupling, limits: ReturnLimits): Finding {
  const { levelBefore: before, levelAfter: after, evidence, milestones } = episode;
  const { releaseTime: release, pullOutTime: pullOut, clearTime: clear } = milestones;
  if (release === null || pullOut === null)
    return cannotJudge(limits, 'the readings do not show when the trailer was released');
  if (clear === null) return cannotJudge(limits, 'the readings end before the tractor had moved on');
  const { bobtail, noise, step } = evidence.learned;
  const load = samplesOf(evidence, episode.loadSignal);
  if (before === null || after === null)
    return cannotJudge(limits, 'the levels with and without the trailer are not known');
  // Springs that were exhausted come back up to the tractor's own level with no load on them at all.
  const refills = episode.suspensionDumped !== false;
  const own = refills ? Math.max(after, bobtail ?? after) : after;
  const fall = before - own;
  if (fall < Math.max(clearWidths * noise, clearSteps * step, load.silentBelow)) {
    return cannotJudge(limits, 'the load that went off is too small to tell whether some came back');
  }
  const from = Math.max(release.low, pullOut.low);
  const share = returned(load, from, own, fall);
  const mostShare = returned(load, from, after, before - after);
  const surely = { startMs: Math.max(release.high, pullOut.high), endMs: clear.low };
  const window = { startMs: Math.max(release.low, pullOut.low), endMs: clear.high };
  const sustainedMs = limits.sustainedSeconds * 1000;
  const proven = provenHeld(evidence, share, surely, sustainedMs);
  const possible = window.endMs > window.startMs ? possiblyHeld(mostShare, window, sustainedMs, share.standsMs) : 0;
  const granted = (Math.max(grantedWidths * noise, step, shakenShare * before) / fall) * 100;
  const unsure = refills && bobtail === null;
  const low = unsure ? 0 : Math.max(0, (proven?.level ?? 0) - granted);
  // Off, on again, and off for good: read kindly it was taken again in between, read closely all of it came back.
  const cameBackPct = offBefore(episode, { pullOut, release }) === null ? 0 : 100;
  const high = possible === null ? null : Math.max(low, possible, cameBackPct);
  return found({
    measured: measuredBetween(Math.max(0, proven?.level ?? 0), low, high, '%'),
    ask: 'at-most',
    against: limits.maxReturnedPct,
    limit: limits,
    window: { startMs: window.startMs, endMs: Math.max(window.startMs, clear.best) },
    says: inWords(
      {
        met: 'No load came back onto the fifth wheel after the trailer was released.',
        missed:
          'After release {measured} {sure} of the load came back onto the fifth wheel; at most {asked} is allowed for.',
        undetermined: 'the readings do not show whether more than {asked} of the load came back onto the fifth wheel.',
      },
      { value: limits.maxReturnedPct, unit: '%' },
    ),
  });
}

/** What came back since the lowest level from `fromMs` on, % of the fall; 0 before. */
function returned(load: Samples, fromMs: number, after: number, fall: number): Samples {
  let lowest = Number.POSITIVE_INFINITY;
  const values = load.values.map((level, i) => {
    if (load.times[i]! < fromMs) return 0;
    lowest = Math.min(lowest, level);
    return Math.max(0, ((level - Math.max(lowest, after)) / fall) * 100);
  });
  return { ...load, values, silentBelow: (load.silentBelow / fall) * 100 };
}
