/**
 * Backing above idle: on the last reverse run the foot is off the accelerator.
 *
 * Measured is the highest accelerator position above the truck's own released reading that was held for
 * `sustainedSeconds`; where the accelerator is not reported, engine speed above idle stands in. `low` is what is proven held
 * surely inside the run; `high` what may have been held possibly inside it.
 */
import type { Coupling } from '@gearhold/episodes';
import { z } from 'zod';
import {
  cannotJudge,
  defineCheck,
  type Finding,
  found,
  inWords,
  type Limits,
  notAsked,
  yardTractor,
} from '../check.ts';
import { type BackingWindow, backingWindow } from '../evidence/backing-window.ts';
import { enginePedal } from '../evidence/engine-stand-in.ts';
import { type Held, possiblyHeld, provenHeld } from '../evidence/held-level.ts';
import { lastAtOrBefore, type Samples, samplesOf } from '../evidence/samples.ts';
import { measuredBetween } from '../verdict.ts';

/** A released pedal reads at most this, % (contract). */
const largestReleasedPct = 5;

export const backingAboveIdle = defineCheck({
  name: 'backing-above-idle',
  title: 'foot off the accelerator while backing under the trailer',
  kinds: ['coupling'],
  needs: ['speedKph', 'acceleratorPct'],
  uses: ['engineRpm', 'gear', 'parkingBrake', 'serviceBrake', 'suspensionKpa', 'torquePct'],
  proofs: {
    met: {
      dense: ['acceleratorPct'],
      gapSeconds: ({ sustainedSeconds }) => 1.5 * Number(sustainedSeconds),
    },
    missed: { dense: ['acceleratorPct'] },
  },
  gapOf: yardTractor,
  limits: {
    maxAcceleratorPct: {
      schema: z.number().min(0).max(100),
      meaning: "Highest accelerator position above the truck's own released reading, %.",
      builtIn: 2,
      source: 'house policy; the public CDL manual says slowly, in the lowest reverse gear',
    },
    sustainedSeconds: {
      schema: z.number().positive().max(60),
      meaning: 'How long a position must be held to count, s.',
      builtIn: 1,
      source: 'house policy',
    },
    maxRpmAboveIdle: {
      schema: z.number().min(0).max(3000),
      meaning: "Highest engine speed above the vehicle's own idle where the accelerator is not reported, r/min.",
      builtIn: 150,
      source: 'house policy',
    },
  },
  concern: 'driver',
  urgency: 'routine',
  because:
    'the driver presses the pedal; a hard arrival wears the kingpin and the locks, and can push the trailer over',
  source: 'public CDL manual, coupling step 10: back under slowly in the lowest reverse gear',
  judge: (episode, limits, { site, vehicle }) => {
    const gap = yardTractor({ vehicle });
    if (gap !== null) return notAsked(limits, gap.why);
    if (site?.sloped === true) return notAsked(limits, 'the site is marked sloped');
    return judge(episode, limits);
  },
});

type PedalLimits = Limits & {
  readonly maxAcceleratorPct: number;
  readonly sustainedSeconds: number;
  readonly maxRpmAboveIdle: number;
};

function judge(episode: Coupling, limits: PedalLimits): Finding {
  const window = backingWindow(episode);
  if (window === null) return cannotJudge(limits, 'the readings do not show when the tractor backed under the trailer');
  if (samplesOf(episode.evidence, 'speedKph').times.length === 0) return cannotJudge(limits, 'speed was not reported');
  const pedal = samplesOf(episode.evidence, 'acceleratorPct');
  if (reportedDuring(pedal, window)) return judgePedal(episode, limits, window, pedal);
  return judgeEngine(episode, limits, window);
}

function reportedDuring(samples: Samples, window: BackingWindow): boolean {
  const last = lastAtOrBefore(samples, window.possible.endMs);
  return last >= 0 && samples.times[last]! >= window.possible.startMs - samples.standsMs;
}

function judgePedal(episode: Coupling, limits: PedalLimits, window: BackingWindow, pedal: Samples): Finding {
  const { maxAcceleratorPct, sustainedSeconds } = limits;
  const released = releasedReading(episode, pedal);
  const proven =
    window.sure === null ? null : provenHeld(episode.evidence, pedal, window.sure, sustainedSeconds * 1000);
  const possible = possiblyHeld(pedal, window.possible, sustainedSeconds * 1000, holeMs(sustainedSeconds));
  const low = Math.max(0, (proven?.level ?? 0) - released.high);
  const high = possible === null ? null : Math.max(low, possible - released.low);
  const seen = provenHeld(episode.evidence, pedal, window.best, 0);
  const value = proven !== null && low > maxAcceleratorPct ? low : Math.max(0, (seen?.level ?? 0) - released.best);
  return found({
    measured: measuredBetween(value, low, high, '%'),
    ask: 'at-most',
    against: maxAcceleratorPct,
    limit: { maxAcceleratorPct, sustainedSeconds },
    window: window.best,
    says: inWords(
      {
        met: 'The foot stayed off the accelerator while reversing under the trailer: {measured} {sure}, at most {asked} is asked.',
        missed:
          'Accelerator at {measured} {sure} for {held} while reversing under the trailer; at most {asked} is asked.',
        undetermined: `${whyPedal(high, low, window)} Accelerator at {measured} {sure}; at most {asked} is asked.`,
      },
      { value: maxAcceleratorPct, unit: '%' },
      { held: { value: secondsOf(proven), unit: 's' }, sustained: { value: sustainedSeconds, unit: 's' } },
    ),
  });
}

function whyPedal(high: number | null, low: number, window: BackingWindow): string {
  if (high === null) return 'the accelerator was not reported often enough while reversing.';
  if (window.sure === null) return 'the readings do not show when the last reversing began and ended.';
  return low === 0
    ? 'no reading proves that the pedal was held for {sustained} inside the reversing.'
    : 'the readings are too far apart, or the reversing too short, to show how far the pedal was held.';
}

/** What the pedal reads when nobody presses it, %: learned, else somewhere between 0 and the lowest reading. */
function releasedReading(episode: Coupling, pedal: Samples): { low: number; high: number; best: number } {
  const learned = episode.evidence.learned.releasedPedalPct;
  if (learned !== null) {
    const reading = Math.min(largestReleasedPct, learned);
    return { low: reading, high: reading, best: reading };
  }
  let lowest = largestReleasedPct;
  for (const value of pedal.values) lowest = Math.min(lowest, value);
  return { low: 0, high: lowest, best: lowest };
}

/** `met` needs samples no more than the sustained time and a half apart. */
function holeMs(sustainedSeconds: number): number {
  return Math.min(1.5 * sustainedSeconds, sustainedSeconds + 0.5) * 1000;
}

function secondsOf(held: Held | null): number {
  return held === null ? 0 : Math.round((held.stretch.endMs - held.stretch.startMs) / 100) / 10;
}

function judgeEngine(episode: Coupling, limits: PedalLimits, window: BackingWindow): Finding {
  const { maxRpmAboveIdle, sustainedSeconds } = limits;
  const limit = { maxRpmAboveIdle, sustainedSeconds };
  const rpm = samplesOf(episode.evidence, 'engineRpm');
  if (!reportedDuring(rpm, window)) {
    const both =
      rpm.times.length === 0 ? 'neither accelerator nor engine speed was reported' : 'accelerator was not reported';
    return cannotJudge(limits, `${both} while reversing`);
  }
  const engine = enginePedal(episode, rpm, window, sustainedSeconds, maxRpmAboveIdle, holeMs(sustainedSeconds));
  if (engine === null)
    return cannotJudge(limit, "accelerator was not reported, and the engine's idle speed is not known");
  return found({
    measured: measuredBetween(engine.value, engine.low, engine.high, 'r/min'),
    ask: 'at-most',
    against: maxRpmAboveIdle,
    limit,
    window: window.best,
    says: inWords(
      {
        met: 'The engine stayed near idle while reversing under the trailer: {measured} {sure} above it, at most {asked} is asked.',
        missed:
          'Engine {measured} {sure} above idle for {held} while reversing under the trailer; at most {asked} is asked.',
        undetermined: `${engine.why} Engine {measured} {sure} above idle; at most {asked} is asked.`,
      },
      { value: maxRpmAboveIdle, unit: 'r/min' },
      { held: { value: secondsOf(engine.held), unit: 's' } },
    ),
  });
}
