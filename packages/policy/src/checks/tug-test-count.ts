/**
 * Tug tests: pulls forward against the trailer's set brakes, soon after the kingpin is home.
 *
 * Measured is their number. `low` counts those surely within the time; absence can be proven only where torque was reported
 * at 1 Hz or faster through all of it, and then `high` counts whatever may have been a pull.
 */
import type { Coupling } from '@gearhold/episodes';
import { z } from 'zod';
import { cannotJudge, defineCheck, type Finding, found, inWords, type Limits } from '../check.ts';
import { backingWindow, homeBetween } from '../evidence/backing-window.ts';
import { departureShown } from '../evidence/departure.ts';
import { fewestPulls, mostPulls } from '../evidence/torque-pulls.ts';
import { measuredBetween } from '../verdict.ts';

export const tugTestCount = defineCheck({
  name: 'tug-test-count',
  title: 'pull forward against the set trailer brakes',
  kinds: ['coupling'],
  needs: ['speedKph'],
  uses: ['torquePct', 'gear', 'parkingBrake', 'suspensionKpa'],
  proofs: { missed: { reported: ['torquePct'], dense: ['torquePct'], periodic: true } },
  limits: {
    minCount: {
      schema: z.number().int().min(0).max(10),
      meaning: 'Fewest tug tests.',
      builtIn: 2,
      source: 'house policy; the public CDL manual asks for one gentle pull',
    },
    withinSeconds: {
      schema: z.number().positive().max(3600),
      meaning: 'Within how long of the kingpin being home, s.',
      builtIn: 120,
      source: 'house policy',
    },
  },
  concern: 'driver',
  urgency: 'today',
  because:
    'the driver makes the test, and an untested coupling may part on the road; it proves nothing about the lock by itself',
  source: 'public CDL manual, coupling step 11: pull gently forward against the locked trailer brakes',
  judge,
});

function judge(
  episode: Coupling,
  limits: Limits & { readonly minCount: number; readonly withinSeconds: number },
): Finding {
  const { seatedTime: seated, tugTestTimes: tugs, departureTime } = episode.milestones;
  if (seated === null) return cannotJudge(limits, 'the readings do not show when the kingpin was home');
  const withinMs = limits.withinSeconds * 1000;
  const home = homeBetween(episode, seated);
  let low = 0;
  let possible = 0;
  for (const tug of tugs) {
    if (tug.high - home.low <= withinMs && tug.low >= seated.low) low += 1;
    if (tug.low - home.high <= withinMs) possible += 1;
  }
  const leaves = departureTime !== null && departureShown(episode.evidence, departureTime) ? departureTime.low : null;
  const endMs = Math.min(home.high + withinMs, leaves ?? Number.POSITIVE_INFINITY);
  const sureEnd = Math.min(home.low + withinMs, departureTime?.low ?? Number.POSITIVE_INFINITY);
  low = Math.max(low, fewestPulls(episode.evidence, { startMs: home.high, endMs: sureEnd }));
  // Where the truck may have crept on, the time may have begun, and the pulls come, later.
  const unsure = backingWindow(episode)?.mayHaveCreptOn !== false;
  const seen = unsure ? null : mostPulls(episode.evidence, { startMs: home.low, endMs });
  const high = seen === null ? null : Math.max(seen, possible, low);
  return found({
    measured: measuredBetween(Math.max(possible, low), low, high, 'count'),
    ask: 'at-least',
    against: limits.minCount,
    limit: limits,
    window: { startMs: seated.best, endMs },
    says: inWords(
      {
        met: '{measured} tug {measured:test|tests} within {time} of the kingpin being home {sure}; {asked} {asked:is|are} asked.',
        missed:
          '{measured} tug {measured:test|tests} within {time} of the kingpin being home {sure}; {asked} {asked:is|are} asked.',
        undetermined: unsure
          ? 'the readings do not show when the kingpin was home; {measured} tug {measured:test was|tests were} seen, {asked} {asked:is|are} asked.'
          : seen === null
            ? 'torque was not reported at least once a second, so that a tug test may have gone unseen; {measured} {measured:was|were} seen, {asked} {asked:is|are} asked.'
            : 'what was seen may or may not have been a tug test: {measured} {sure}, {asked} {asked:is|are} asked.',
      },
      { value: limits.minCount, unit: 'count' },
      { time: { value: limits.withinSeconds, unit: 's' } },
    ),
  });
}
