/**
 * Approach stop: stopped short of the trailer, to get out and look.
 *
 * Measured is the longest standstill before the load comes on that begins within `withinMetres` of the trailer. Travel is a
 * path, and a truck that manoeuvres may stand nearer than its path is long: only a stop whose path is twice the distance is
 * surely too far. A stop at the first touch counts in `high`.
 */
import type { Coupling, Interval } from '@gearhold/episodes';
import { z } from 'zod';
import { cannotJudge, defineCheck, type Finding, found, inWords, type Limits } from '../check.ts';
import { type BackingWindow, backingWindow } from '../evidence/backing-window.ts';
import { samplesOf } from '../evidence/samples.ts';
import { roomForStandstill, type Stretch, sureStandstills } from '../evidence/standing.ts';
import { leastMetres, mostMetres } from '../evidence/travel.ts';
import { measuredBetween } from '../verdict.ts';

/** A path this many times the distance is surely further away, whatever the manoeuvre (assumed). */
const detour = 2;
/** A level this much of the load, or so many noise widths, above the tractor's own shows a trailer on it. */
const loadedShare = 0.25;
const loadedWidths = 5;

export const approachStop = defineCheck({
  name: 'approach-stop',
  title: 'stop short of the trailer to get out and look',
  kinds: ['coupling'],
  needs: ['speedKph', 'suspensionKpa'],
  uses: ['axleLoadKg', 'gear', 'parkingBrake', 'serviceBrake', 'ignition'],
  limits: {
    minSeconds: {
      schema: z.number().min(0).max(3600),
      meaning: 'Shortest stop, s.',
      builtIn: 10,
      source: 'common practice; the public CDL manual asks for the stop and sets no time',
    },
    withinMetres: {
      schema: z.number().positive().max(200),
      meaning: 'How near the trailer the stop is to be, m.',
      builtIn: 15,
      source: 'common practice',
    },
  },
  concern: 'driver',
  urgency: 'routine',
  because: 'the driver decides whether to look first; a height or kingpin that does not fit is seen only from outside',
  source:
    'public CDL manual, coupling steps 4 to 6: stop as the fifth wheel touches, parking brake, look at height and kingpin',
  judge,
});

type StopLimits = Limits & { readonly minSeconds: number; readonly withinMetres: number };

function judge(episode: Coupling, limits: StopLimits): Finding {
  const { evidence, loadSignal, milestones } = episode;
  const backing = backingWindow(episode);
  const speed = samplesOf(evidence, 'speedKph');
  if (speed.times.length === 0) return cannotJudge(limits, 'speed was not reported');
  if (backing === null) return cannotJudge(limits, 'the readings do not show when the tractor came to the trailer');
  const contact = milestones.contactTime ?? episode.loadTransferTime;
  const arrival = arrivalOf(backing, contact, episode.loadTransferTime);
  const from = speed.times[0]!;
  let high: number | null = 0;
  for (const room of roomForStandstill(evidence, from, Math.max(arrival.high, backing.end.low))) {
    // The standstill that follows the arrival is not a stop short of it; one that flows into it may be in part.
    const endMs = room.openEnd ? Math.min(room.endMs, arrival.high) : room.endMs;
    if (endMs <= room.startMs) continue;
    if (leastMetres(evidence, endMs, arrival.low) > detour * limits.withinMetres) continue;
    high = room.openStart ? null : Math.max(high ?? 0, (endMs - room.startMs) / 1000);
    if (high === null) break;
  }
  if (leastMetres(evidence, from, arrival.low) <= detour * limits.withinMetres) high = null;
  let low = 0;
  let window: Stretch | null = null;
  for (const stretch of sureStandstills(evidence, loadSignal, from, arrival.low)) {
    if (mostMetres(evidence, stretch.endMs, arrival.high) > limits.withinMetres) continue;
    const seconds = (stretch.endMs - stretch.startMs) / 1000;
    if (seconds <= low || loadedIn(episode, stretch)) continue;
    low = seconds;
    window = stretch;
  }
  return found({
    measured: measuredBetween(low, low, high === null ? null : Math.max(high, low), 's'),
    ask: 'at-least',
    against: limits.minSeconds,
    limit: limits,
    window: window ?? { startMs: backing.best.startMs, endMs: arrival.best },
    says: inWords(
      {
        met: 'The truck stopped for {measured} {sure} short of the trailer; {asked} within {near} of it {asked:is|are} asked.',
        missed:
          'The truck backed up to the trailer with a stop of {measured} {sure}; {asked} within {near} of it {asked:is|are} asked, to get out and look.',
        undetermined:
          'the readings show a stop of {measured} {sure} short of the trailer, and not on which side of {asked} it was.',
      },
      { value: limits.minSeconds, unit: 's' },
      { near: { value: limits.withinMetres, unit: 'm' } },
    ),
  });
}

/** When the trailer was reached: as the load began to come on, or as the kingpin was home where it came at another time. */
function arrivalOf(
  { end, earliestHome, best, mayHaveCreptOn }: BackingWindow,
  contact: Interval,
  transfer: Interval,
): Interval {
  // Where it may have crept on, it arrived somewhere until half of the load was on.
  if (mayHaveCreptOn) {
    const high = Math.max(contact.high, end.high, transfer.high);
    return { low: Math.min(earliestHome, contact.low), high, best: contact.best };
  }
  // Whatever stood after the last sample that shows movement may have stood with the kingpin home.
  if (contact.low > end.high) return { ...end, low: earliestHome };
  // A load that came on before the last run began was not this trailer's first touch.
  return contact.high < best.startMs
    ? { low: Math.min(best.startMs, earliestHome), high: end.high, best: end.best }
    : contact;
}

/** Whether a sample shows part of the trailer's load already on: then the truck stood under it, in a try before, and not short of it. */
function loadedIn({ evidence, loadSignal, levelBefore, levelAfter }: Coupling, { startMs, endMs }: Stretch): boolean {
  if (levelBefore === null || levelAfter === null) return false;
  const load = samplesOf(evidence, loadSignal);
  const { noise, step } = evidence.learned;
  const enough = Math.max(loadedShare * (levelAfter - levelBefore), loadedWidths * noise, 2 * step, load.silentBelow);
  return load.times.some((time, i) => time >= startMs && time <= endMs && load.values[i]! > levelBefore + enough);
}
