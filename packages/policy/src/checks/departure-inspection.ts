/**
 * Departure inspection: time at standstill before leaving on a trip. Measured is all standstill from the kingpin's arrival to
 * the first sample at trip speed; until that is seen there is no upper bound, for a truck that is only moved within the yard
 * can still be looked at.
 */
import type { Coupling } from '@gearhold/episodes';
import { z } from 'zod';
import { cannotJudge, defineCheck, type Finding, found, inWords, type Limits } from '../check.ts';
import { homeBetween } from '../evidence/backing-window.ts';
import { firstAfter, samplesOf } from '../evidence/samples.ts';
import { standTotal } from '../evidence/stand-total.ts';
import { measuredBetween } from '../verdict.ts';

export const departureInspection = defineCheck({
  name: 'departure-inspection',
  title: 'time for an inspection before leaving on a trip',
  kinds: ['coupling'],
  needs: ['speedKph'],
  uses: ['parkingBrake', 'serviceBrake', 'gear', 'ignition'],
  limits: {
    minSeconds: {
      schema: z.number().min(0).max(14_400),
      meaning: 'Shortest standstill altogether, s.',
      builtIn: 300,
      source: 'house policy; the rules ask for the inspection and set no time',
    },
    tripKph: {
      schema: z.number().positive().max(120),
      meaning: 'Speed that shows that the truck is on a trip and not moved within a yard, km/h.',
      builtIn: 50,
      source: 'common practice',
    },
  },
  concern: 'driver',
  urgency: 'routine',
  because: 'the driver inspects; how long that takes differs, so it is talked over',
  source:
    '49 CFR 392.7(a) and 396.13: no driving unless satisfied that parts, coupling devices and brakes are in good order',
  judge,
});

function judge(episode: Coupling, limits: Limits & { readonly minSeconds: number; readonly tripKph: number }): Finding {
  const { seatedTime: seated, departureTime: departure } = episode.milestones;
  const speed = samplesOf(episode.evidence, 'speedKph');
  if (speed.times.length === 0) return cannotJudge(limits, 'speed was not reported');
  if (seated === null) return cannotJudge(limits, 'the readings do not show when the kingpin was home');
  if (departure === null) return cannotJudge(limits, 'the readings end before the truck left with the trailer');
  let i = firstAfter(speed, Math.max(departure.low, episode.loadTransferTime.high));
  while (speed.values[i]! < limits.tripKph) i += 1;
  const trip = speed.times[i] ?? null;
  const endMs = trip ?? speed.times.at(-1)!;
  const { low, high } = standTotal(episode.evidence, episode.loadSignal, homeBetween(episode, seated), {
    low: endMs,
    high: endMs,
    best: endMs,
  });
  return found({
    measured: measuredBetween((low + high) / 2, low, trip === null ? null : high, 's'),
    ask: 'at-least',
    against: limits.minSeconds,
    limit: limits,
    window: { startMs: seated.best, endMs: Math.max(seated.best, endMs) },
    says: inWords(
      {
        met: 'The truck stood for {measured} {sure} between coupling and trip; {asked} {asked:is|are} asked.',
        missed:
          'The truck left on a trip after standing for {measured} {sure}; {asked} {asked:is|are} asked for an inspection.',
        undetermined:
          trip === null
            ? 'the readings do not reach as far as the trip; the truck had stood for {measured} {sure}, {asked} {asked:is|are} asked.'
            : 'the truck stood for {measured} {sure} between coupling and trip, and the readings do not show on which side of {asked}.',
      },
      { value: limits.minSeconds, unit: 's' },
    ),
  });
}
