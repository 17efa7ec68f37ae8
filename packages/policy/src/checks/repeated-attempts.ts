/**
 * Repeated attempts: several tries to couple. A lock, a height or a plate that needs several is a matter for the shop.
 *
 * Measured is the number of tries, the one that held included. `low` counts earlier reverse runs in which load surely came on
 * and went off again; `high` every time that the truck may have backed and come forward again, seen or not, for a try need not
 * put load on. Who stops on the way under, and goes on, has not tried twice.
 */
import type { Coupling, Evidence } from '@gearhold/episodes';
import { z } from 'zod';
import { cannotJudge, defineCheck, type Finding, found, inWords, type Limits } from '../check.ts';
import { type Samples, samplesOf, valueAt } from '../evidence/samples.ts';
import { isSecured, surelyStopped } from '../evidence/standing.ts';
import { mostMetres } from '../evidence/travel.ts';
import { measuredBetween } from '../verdict.ts';

/** Share of the later rise that a try puts on at least, and noise widths and steps that it stands out by. */
const triedShare = 0.3;
const triedWidths = 8;
const triedSteps = 3;
/** Pressure may begin to rise a little after a try has ended, ms. */
const lagMs = 3000;
/** A tractor that has driven further than this in one go since was at another trailer, m (common practice). */
const sameTrailerMetres = 20;

export const repeatedAttempts = defineCheck({
  name: 'repeated-attempts',
  title: 'coupled without many tries',
  kinds: ['coupling'],
  needs: ['speedKph', 'suspensionKpa'],
  uses: ['axleLoadKg', 'gear'],
  limits: {
    maxCount: {
      schema: z.number().int().min(1).max(20),
      meaning: 'Most tries, the one that held included.',
      builtIn: 2,
      source: 'house policy',
    },
    withinSeconds: {
      schema: z.number().positive().max(3600),
      meaning: 'How long before the last approach tries count, s.',
      builtIn: 240,
      source: 'house policy',
    },
  },
  concern: 'shop',
  urgency: 'routine',
  because:
    'a lock that does not close, or a plate that is dry, wants a mechanic more often than the driver wants training',
  source: 'common practice',
  judge,
});

function judge(
  episode: Coupling,
  limits: Limits & { readonly maxCount: number; readonly withinSeconds: number },
): Finding {
  const { approachTime: approach } = episode.milestones;
  const { evidence, levelBefore: before, levelAfter: after } = episode;
  if (approach === null) return cannotJudge(limits, 'the readings do not show the last approach');
  const speed = samplesOf(evidence, 'speedKph');
  if (speed.times.length === 0) return cannotJudge(limits, 'speed was not reported');
  if (before === null || after === null)
    return cannotJudge(limits, 'the levels with and without the trailer are not known');
  const fromMs = approach.best - limits.withinSeconds * 1000;
  const { noise, step } = evidence.learned;
  const load = samplesOf(evidence, episode.loadSignal);
  const enough = Math.max(triedShare * (after - before), triedWidths * noise, triedSteps * step, load.silentBelow);
  const until = Math.min(approach.low, episode.milestones.contactTime?.low ?? approach.low);
  const backings = evidence.runs.filter(
    (run) => run.kind === 'reverse' && run.end.high <= approach.high && run.end.high >= fromMs,
  );
  const tried = timesOn(load, fromMs, until, before, enough).filter(
    (on) =>
      backings.some((run) => on >= run.start.high && on <= run.end.high + lagMs) &&
      evidence.runs.every(
        (run) =>
          run.kind === 'standing' ||
          run.end.low < on ||
          run.start.high > approach.low ||
          mostMetres(evidence, run.start.low, run.end.high) <= sameTrailerMetres,
      ),
  );
  const low = 1 + tried.length;
  // The first row may lie up to an interval inside the time.
  const reachesBack = speed.times[0]! <= fromMs + speed.standsMs;
  return found({
    measured: measuredBetween(
      low,
      low,
      reachesBack ? Math.max(low, 1 + possibleTries(evidence, fromMs, approach.low)) : null,
      'count',
    ),
    ask: 'at-most',
    against: limits.maxCount,
    limit: limits,
    window: { startMs: tried[0] ?? approach.best, endMs: episode.loadTransferTime.best },
    says: inWords(
      {
        met: 'The trailer was coupled with {measured} {measured:try|tries} {sure}; at most {asked} {asked:is|are} asked.',
        missed:
          'The trailer was coupled with {measured} {measured:try|tries} {sure}; at most {asked} {asked:is|are} asked: the lock, the plate or the height may want looking at.',
        undetermined: 'the readings show {measured} {measured:try|tries} {sure}; at most {asked} {asked:is|are} asked.',
      },
      { value: limits.maxCount, unit: 'count' },
    ),
  });
}

/**
 * How often the readings leave room for backing and coming forward again: in movements that were seen, too slowly for the speed
 * sensor, or in a hole that is no proven standstill.
 */
function possibleTries(evidence: Evidence, fromMs: number, toMs: number): number {
  const speed = samplesOf(evidence, 'speedKph');
  const gear = samplesOf(evidence, 'gear');
  let tries = 0;
  let backed = false;
  for (let i = 0; i < speed.times.length; i++) {
    const time = speed.times[i]!;
    if (time < fromMs || time > toMs) continue;
    const before = speed.times[i - 1] ?? time;
    if (time - before > speed.standsMs && !(isSecured(evidence, before) && isSecured(evidence, time))) tries += 1;
    const engaged = valueAt(gear, time);
    const moves = speed.values[i]! > 0;
    if (!moves && surelyStopped(evidence, speed, i)) continue;
    // Seen to move, in neutral it may roll either way; unseen it moves off in a gear only.
    const mayGoBack = moves ? !(engaged > 0) : !(engaged >= 0);
    const mayComeOut = moves ? !(engaged < 0) : !(engaged <= 0);
    // Nobody turns round while moving: one that goes on from the sample before goes on the same way.
    const goesOn = moves && i > 0 && speed.values[i - 1]! > 0 && time - before <= speed.proofGapMs && before >= fromMs;
    if (backed && mayComeOut && !(goesOn && mayGoBack)) {
      tries += 1;
      backed = false;
    }
    if (mayGoBack) backed = true;
  }
  return tries;
}

/** When load came on, two samples long, from the level of before, and was gone again by `untilMs`; ms. */
function timesOn(load: Samples, fromMs: number, untilMs: number, before: number, enough: number): number[] {
  const found: number[] = [];
  // A tractor that came with a load on brought its last trailer: that is no try.
  let on = Number.NaN;
  let bare = false;
  for (let i = 0; i + 1 < load.times.length && load.times[i + 1]! <= untilMs; i++) {
    if (load.times[i]! < fromMs) continue;
    const [lower, higher] = [
      Math.min(load.values[i]!, load.values[i + 1]!),
      Math.max(load.values[i]!, load.values[i + 1]!),
    ];
    if (bare && Number.isNaN(on) && lower >= before + enough) on = load.times[i]!;
    if (higher > before + enough / 2) continue;
    if (!Number.isNaN(on)) found.push(on);
    on = Number.NaN;
    bare = true;
  }
  return found;
}
