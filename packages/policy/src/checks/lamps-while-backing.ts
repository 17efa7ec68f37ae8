/**
 * Lamps while backing: hazard lamps and headlamps, where reported, on the last reverse run. Yes or no. A lamp is proven off
 * only by consecutive samples for some seconds, for some trucks report a flashing lamp as it flashes.
 */
import type { Coupling } from '@gearhold/episodes';
import { z } from 'zod';
import { cannotJudge, defineCheck, type Finding, found, inWords, type Limits, notAsked } from '../check.ts';
import { type BackingWindow, backingWindow } from '../evidence/backing-window.ts';
import { possiblyHeld, provenHeld } from '../evidence/held-level.ts';
import { type Samples, samplesOf } from '../evidence/samples.ts';
import { measuredBetween } from '../verdict.ts';

const asked = z.enum(['asked', 'not-asked']);

export const lampsWhileBacking = defineCheck({
  name: 'lamps-while-backing',
  title: 'hazard lamps and headlamps on while backing under the trailer',
  kinds: ['coupling'],
  needs: ['speedKph'],
  uses: ['hazardLamps', 'headlamps', 'gear', 'suspensionKpa', 'axleLoadKg'],
  needsOneOf: ['hazardLamps', 'headlamps'],
  proofs: { missed: { dense: ['hazardLamps', 'headlamps'] } },
  limits: {
    hazardLamps: {
      schema: asked,
      meaning: 'Whether hazard lamps are asked for.',
      builtIn: 'asked',
      source: 'common practice while backing',
    },
    headlamps: { schema: asked, meaning: 'Whether headlamps are asked for.', builtIn: 'asked', source: 'house policy' },
    offSeconds: {
      schema: z.number().positive().max(60),
      meaning: 'How long a lamp must be shown off to count as off, s.',
      builtIn: 3,
      source: 'common practice: longer than a lamp that flashes is dark',
    },
  },
  concern: 'driver',
  urgency: 'routine',
  because: 'the driver switches them; people on foot in a yard see a backing truck by them',
  source: 'common practice',
  judge,
});

type LampLimits = Limits & {
  readonly hazardLamps: 'asked' | 'not-asked';
  readonly headlamps: 'asked' | 'not-asked';
  readonly offSeconds: number;
};

const lamps = [
  ['hazardLamps', 'hazard lamps'],
  ['headlamps', 'headlamps'],
] as const;

function judge(episode: Coupling, limits: LampLimits): Finding {
  const wanted = lamps.filter(([signal]) => limits[signal] === 'asked');
  if (wanted.length === 0) return notAsked(limits, 'the policy asks for no lamps');
  const reported = wanted.filter(([signal]) => samplesOf(episode.evidence, signal).times.length > 0);
  const window = backingWindow(episode);
  if (reported.length === 0)
    return cannotJudge(limits, `${wanted.map(([, name]) => name).join(' and ')} were not reported`);
  if (window === null) return cannotJudge(limits, 'the readings do not show when the tractor backed under the trailer');
  const answers = reported.map(([signal, name]) => ({
    name,
    ...lampOn(episode, samplesOf(episode.evidence, signal), window, limits.offSeconds * 1000),
  }));
  const low = Math.min(...answers.map((answer) => answer.low));
  const high = Math.min(...answers.map((answer) => answer.high));
  const off = answers.filter((answer) => answer.high === 0).map((answer) => answer.name);
  const unclear = answers.filter((answer) => answer.low !== answer.high).map((answer) => answer.name);
  return found({
    measured: measuredBetween(low, low, high, '0/1'),
    ask: 'at-least',
    against: 1,
    limit: limits,
    window: window.best,
    says: inWords(
      {
        met: 'The {on} were on while backing under the trailer.',
        missed: 'The {off} were off while backing under the trailer.',
        undetermined: 'the readings do not show whether the {unclear} were on while backing under the trailer.',
      },
      { value: 1, unit: 'count' },
      {
        on: answers.map((answer) => answer.name).join(' and '),
        off: off.join(' and '),
        unclear: unclear.join(' and '),
      },
    ),
  });
}

/** Whether a lamp was on all along: by its darkness, held surely inside the run, or possibly. */
function lampOn(episode: Coupling, lamp: Samples, window: BackingWindow, offMs: number): { low: 0 | 1; high: 0 | 1 } {
  const dark: Samples = { ...lamp, values: lamp.values.map((value) => 1 - value), silentBelow: 0 };
  const proven = window.sure === null ? null : provenHeld(episode.evidence, dark, window.sure, offMs);
  if (proven !== null && proven.level === 1) return { low: 0, high: 0 };
  return { low: possiblyHeld(dark, window.possible, offMs, lamp.standsMs) === 0 ? 1 : 0, high: 1 };
}
