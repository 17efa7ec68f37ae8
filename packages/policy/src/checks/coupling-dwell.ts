/**
 * Coupling dwell: enough time at standstill after the tug tests to get out, look, connect the lines and raise the landing
 * gear. Measured is all standstill from the last tug test, or from the kingpin's arrival, to the departure.
 */
import type { Coupling } from '@gearhold/episodes';
import { z } from 'zod';
import { cannotJudge, defineCheck, type Finding, found, inWords, type Limits } from '../check.ts';
import { homeBetween } from '../evidence/backing-window.ts';
import { untilSeenMoving } from '../evidence/departure.ts';
import { lastAtOrBefore, type Samples, samplesOf } from '../evidence/samples.ts';
import { standTotal } from '../evidence/stand-total.ts';
import { isSecured } from '../evidence/standing.ts';
import { measuredBetween } from '../verdict.ts';

export const couplingDwell = defineCheck({
  name: 'coupling-dwell',
  title: 'time to get out, look, connect and raise the landing gear',
  kinds: ['coupling'],
  needs: ['speedKph'],
  uses: ['gear', 'parkingBrake', 'serviceBrake', 'ignition', 'torquePct'],
  limits: {
    minSeconds: {
      schema: z.number().min(0).max(7200),
      meaning: 'Shortest standstill altogether, s.',
      builtIn: 120,
      source: 'house policy; no standard sets it',
    },
  },
  concern: 'driver',
  urgency: 'today',
  because: 'the driver takes the time or does not; a lock that nobody looked at is found out on the road',
  source:
    'public CDL manual, coupling steps 12 to 16; 49 CFR 392.7(a): no driving unless satisfied with the coupling devices',
  judge,
});

function judge(episode: Coupling, limits: Limits & { readonly minSeconds: number }): Finding {
  const { seatedTime: seated, tugTestTimes: tugs, departureTime } = episode.milestones;
  if (samplesOf(episode.evidence, 'speedKph').times.length === 0) return cannotJudge(limits, 'speed was not reported');
  if (seated === null) return cannotJudge(limits, 'the readings do not show when the kingpin was home');
  if (departureTime === null) return cannotJudge(limits, 'the readings end before the truck left with the trailer');
  if (departureTime.low < episode.loadTransferTime.low) {
    return cannotJudge(limits, 'the readings do not show in which order the load came on and the truck left');
  }
  const departure = untilSeenMoving(episode.evidence, departureTime);
  if (departure === null) {
    return cannotJudge(limits, 'no reading shows the truck on its way as it left with the trailer');
  }
  const lastTug = tugs.at(-1) ?? seated;
  // What looked like a tug test need not have been one: for the upper bound all standing since the arrival counts.
  const home = homeBetween(episode, seated);
  const from = {
    low: home.low,
    high: Math.max(home.high, lastTug.high, unseenTugUntil(episode, home.high, departure.low)),
    best: Math.max(seated.best, lastTug.best),
  };
  const { low, high } = standTotal(episode.evidence, episode.loadSignal, from, departure);
  const sinceTug = standTotal(
    episode.evidence,
    episode.loadSignal,
    { low: from.best, high: from.best, best: from.best },
    departure,
  );
  return found({
    measured: measuredBetween((sinceTug.low + sinceTug.high) / 2, low, high, 's'),
    ask: 'at-least',
    against: limits.minSeconds,
    limit: limits,
    window: { startMs: from.best, endMs: Math.max(from.best, departure.best) },
    says: inWords(
      {
        met: 'The truck stood for {measured} {sure} before it left with the trailer; {asked} {asked:is|are} asked.',
        missed:
          'The truck left after standing for {measured} {sure}; {asked} {asked:is|are} asked to get out, look, connect the lines and raise the landing gear.',
        undetermined:
          'the truck stood for {measured} {sure} before it left, and the readings do not show on which side of {asked}.',
      },
      { value: limits.minSeconds, unit: 's' },
    ),
  });
}

/**
 * Until when a tug test may have come that no sample shows. With gear and torque at 1 Hz or faster every one is seen; else one
 * fits wherever the truck was not secured, up to the last stretch in which it was before it left.
 */
function unseenTugUntil({ evidence }: Coupling, fromMs: number, departureMs: number): number {
  const torque = samplesOf(evidence, 'torquePct');
  const gear = samplesOf(evidence, 'gear');
  const fast = ({ times, proofGapMs }: Samples) =>
    times.every((time, i) => i === 0 || time < fromMs || time > departureMs || time - times[i - 1]! <= proofGapMs);
  if (gear.times.length > 0 && torque.times.length > 0 && !torque.changeOnly && fast(torque)) return fromMs;
  const { times } = samplesOf(evidence, 'speedKph');
  let i = lastAtOrBefore(samplesOf(evidence, 'speedKph'), departureMs);
  while (i >= 0 && times[i]! > fromMs && !isSecured(evidence, times[i]!)) i -= 1;
  // Nothing secured it at all: the whole time may have been spent pulling.
  if (i < 0 || times[i]! <= fromMs) return departureMs;
  while (i > 0 && times[i - 1]! > fromMs && isSecured(evidence, times[i - 1]!)) i -= 1;
  return times[i]!;
}
