/**
 * Suspension response: the load began to come on before the kingpin was home.
 *
 * A trailer at the right height settles on the fifth wheel while the tractor backs under, and pressure begins to rise within
 * a second or two. No onset means that the trailer may stand too high, and that the kingpin may ride over the fifth wheel.
 * Measured is how long after the kingpin was home the load began to come on; 0 where it came before.
 */
import type { Coupling } from '@gearhold/episodes';
import { z } from 'zod';
import { cannotJudge, defineCheck, type Finding, found, inWords, type Limits } from '../check.ts';
import { backingWindow } from '../evidence/backing-window.ts';
import { samplesOf } from '../evidence/samples.ts';
import { measuredBetween } from '../verdict.ts';

/** A rise of fewer noise widths or steps than this shows no onset. */
const clearWidths = 6;
const clearSteps = 3;
/** Samples after the arrival that must show the level unchanged before an onset is called late. */
const leastUnchanged = 3;

export const suspensionResponse = defineCheck({
  name: 'suspension-response',
  title: 'load on the fifth wheel before the kingpin is home',
  kinds: ['coupling'],
  needs: ['speedKph', 'suspensionKpa'],
  uses: ['axleLoadKg', 'gear', 'suspensionDump'],
  limits: {
    maxSeconds: {
      schema: z.number().min(0).max(600),
      meaning: 'How long after the kingpin is home the load may begin to come on, s.',
      builtIn: 3,
      source: 'common practice: pressure follows the load within a second or two',
    },
  },
  concern: 'yard',
  urgency: 'today',
  because:
    'the landing gear sets the trailer too high, and the next tractor may ride over the kingpin; the yard can lower it',
  source: 'public CDL manual, coupling step 6: trailer slightly low, so that the tractor lifts it a little',
  judge,
});

function judge(episode: Coupling, limits: Limits & { readonly maxSeconds: number }): Finding {
  const { levelBefore: before, levelAfter: after, evidence, milestones } = episode;
  const contact = milestones.contactTime;
  const backing = backingWindow(episode);
  if (contact === null || backing === null) {
    return cannotJudge(limits, 'the readings do not show when the load began to come on, or when the kingpin was home');
  }
  if (episode.suspensionDumped === true) return cannotJudge(limits, 'the springs were exhausted to back under');
  const { noise, step } = evidence.learned;
  const clear = Math.max(clearWidths * noise, clearSteps * step);
  if (before === null || after === null || after - before < clear) {
    return cannotJudge(limits, 'the load that came on is too small to tell when it began');
  }
  const home = backing.end;
  const late = Math.max(0, (contact.low - home.high) / 1000);
  const proven =
    episode.suspensionDumped === false && !backing.mayHaveCreptOn && staysUnchanged(episode, home.high, before);
  const high = Math.max(0, (contact.high - home.low) / 1000);
  return found({
    measured: measuredBetween(Math.max(0, (contact.best - home.best) / 1000), proven ? late : 0, high, 's'),
    ask: 'at-most',
    against: limits.maxSeconds,
    limit: limits,
    window: { startMs: Math.min(contact.best, home.best), endMs: Math.max(contact.best, home.best) },
    says: inWords(
      {
        met: 'The load began to come on while the tractor backed under the trailer, as it should.',
        missed:
          'No load came on while the tractor backed under; it began {measured} {sure} after the kingpin was home, with at most {asked} asked: the trailer may have stood too high.',
        undetermined:
          'the load began to come on {measured} {sure} after the kingpin was home, and the readings do not show on which side of {asked}.',
      },
      { value: limits.maxSeconds, unit: 's' },
    ),
  });
}

/** Whether the samples between arrival and onset really show the level of before, and not a part of the load in the noise. */
function staysUnchanged(episode: Coupling, homeMs: number, before: number): boolean {
  const load = samplesOf(episode.evidence, episode.loadSignal);
  const contact = episode.milestones.contactTime!;
  const between = load.values.filter((_, i) => load.times[i]! >= homeMs && load.times[i]! <= contact.low);
  if (between.length < leastUnchanged) return false;
  between.sort((a, b) => a - b);
  const { noise, step } = episode.evidence.learned;
  return between[between.length >> 1]! - before <= Math.max(1.5 * noise, step, load.silentBelow);
}
