/**
 * Repeated attempts: several tries to couple. A lock, a height or a plate that needs several is a matter for the shop.
 *
 * Measured is the number of tries, the one that held included. `low` counts earlier reverse runs in which load surely came on
 * and went off again; `high` every earlier reverse run that ended in a standstill or a pull forward, for a try need not put
 * load on.
 */
import type { Coupling, Run } from '@gearhold/episodes';
import { z } from 'zod';
import { cannotJudge, defineCheck, type Finding, found, inWords, type Limits } from '../check.ts';
import { type Samples, samplesOf, valueAt } from '../evidence/samples.ts';
import { measuredBetween } from '../verdict.ts';

/** Share of the later rise that a try puts on at least, and noise widths and steps that it stands out by. */
const triedShare = 0.3;
const triedWidths = 8;
const triedSteps = 3;
/** Pressure may begin to rise a little after a try has ended, ms. */
const lagMs = 3000;

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
  const runs = evidence.runs.filter(
    (run) =>
      (run.kind === 'reverse' || run.kind === 'moving') && run.end.high <= approach.high && run.start.low >= fromMs,
  );
  const { noise, step } = evidence.learned;
  const load = samplesOf(evidence, episode.loadSignal);
  const enough = Math.max(triedShare * (after - before), triedWidths * noise, triedSteps * step, load.silentBelow);
  const tried = runs.filter((run) => run.kind === 'reverse' && putLoadOn(load, run, approach.low, before, enough));
  const low = 1 + tried.length;
  // The first row may lie up to an interval inside the time.
  const reachesBack = speed.times[0]! <= fromMs + speed.standsMs;
  return found({
    measured: measuredBetween(low, low, reachesBack ? 1 + runs.length : null, 'count'),
    ask: 'at-most',
    against: limits.maxCount,
    limit: limits,
    window: { startMs: tried[0]?.start.best ?? approach.best, endMs: episode.loadTransferTime.best },
    says: inWords(
      {
        met: 'The trailer was coupled with {measured} tries {sure}; at most {asked} are asked.',
        missed:
          'The trailer was coupled with {measured} tries {sure}; at most {asked} are asked: the lock, the plate or the height may want looking at.',
        undetermined: 'the readings show {measured} tries {sure}; at most {asked} are asked.',
      },
      { value: limits.maxCount, unit: 'count' },
    ),
  });
}

/** Whether load surely came on during a run, two samples long, and was gone again before the last approach. */
function putLoadOn(load: Samples, run: Run, untilMs: number, before: number, enough: number): boolean {
  // A tractor that came with a load on brought its last trailer: that is no try.
  if (!(valueAt(load, run.start.low) < before + enough / 2)) return false;
  let on = -1;
  for (let i = 0; i + 1 < load.times.length && load.times[i + 1]! <= untilMs; i++) {
    if (load.times[i]! < run.start.high) continue;
    if (on < 0 && load.times[i]! > run.end.high + lagMs) return false;
    const lower = Math.min(load.values[i]!, load.values[i + 1]!);
    const higher = Math.max(load.values[i]!, load.values[i + 1]!);
    if (on < 0 && lower >= before + enough) on = i;
    if (on >= 0 && higher <= before + enough / 2) return true;
  }
  return false;
}
