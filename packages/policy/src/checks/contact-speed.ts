/**
 * Contact speed: how fast the kingpin arrives in the throat.
 *
 * Between the last moving sample and the standstill a driver may have braked. So `low` is that sample less what brakes can
 * take off in the time to the next one, which only fast sampling leaves above 0; `high` is the fastest of the samples around
 * the arrival, which may be as early as the last one that shows movement.
 */
import type { Coupling, Evidence, Interval } from '@gearhold/episodes';
import { cannotJudge, defineCheck, type Finding, found, inWords, type Limits } from '../check.ts';
import { backingSpeeds, highestKph, ofBackingSpeed } from '../evidence/backing-speeds.ts';
import { lastAtOrBefore, type Samples, samplesOf, valueAt } from '../evidence/samples.ts';
import { measuredBetween } from '../verdict.ts';

/** Hardest that a tractor brakes, km/h lost in a second (about 7 m/s2, common practice). */
const brakesKphPerSecond = 25;
/**
 * Fastest that it gathers speed, km/h in a second: over a long gap (about 2 m/s2), between two close samples with the foot on
 * the accelerator, or perhaps so, and creeping with the foot off (common practice).
 */
const gathersKphPerSecond = 7;
const pressedKphPerSecond = 2.5;
const creepsKphPerSecond = 1;
/** A pedal this far above its released reading is pressed, %; where that is not known, above the most it can be (contract). */
const pressedPct = 2;
const largestReleasedPct = 5;
/** An engine no further above its idle is not driven by the foot, r/min (common practice). */
const raisedRpm = 100;

export const contactSpeed = defineCheck({
  name: 'contact-speed',
  title: 'gentle arrival of the kingpin',
  ...ofBackingSpeed,
  uses: [...ofBackingSpeed.uses, 'acceleratorPct', 'engineRpm'],
  limits: {
    maxKph: {
      schema: highestKph,
      meaning: 'Highest speed at which the kingpin may arrive, km/h.',
      builtIn: 5,
      source: 'house policy, walking pace; no standard sets it',
    },
  },
  concern: 'driver',
  urgency: 'routine',
  because: 'the driver sets the speed; a hard arrival wears kingpin and locks over time',
  source: 'public CDL manual, coupling step 10: back under slowly, stop when the kingpin locks',
  judge,
});

function judge(episode: Coupling, limits: Limits & { readonly maxKph: number }): Finding {
  const seen = backingSpeeds(episode);
  if ('why' in seen) return cannotJudge(limits, seen.why);
  const { mayHaveCreptOn, earliestHome, end } = seen.window;
  const arrival = arrivalSpeed(seen.speed, episode.evidence, { low: earliestHome, high: end.high });
  if (arrival === null) return cannotJudge(limits, 'speed was not reported often enough around the arrival');
  const low = mayHaveCreptOn ? 0 : arrival.low;
  return found({
    measured: measuredBetween(arrival.value, low, arrival.high, 'km/h'),
    ask: 'at-most',
    against: limits.maxKph,
    limit: limits,
    window: { startMs: end.low, endMs: end.high },
    says: inWords(
      {
        met: 'The kingpin arrived at {measured} {sure}; at most {asked} is asked.',
        missed: 'The kingpin arrived at {measured} {sure}; at most {asked} is asked.',
        undetermined:
          'the kingpin arrived at {measured} {sure}, and the readings do not show on which side of {asked}.',
      },
      { value: limits.maxKph, unit: 'km/h' },
    ),
  });
}

/** Speed at the end of the run, km/h, or null where samples do not frame it. */
function arrivalSpeed(
  speed: Samples,
  evidence: Evidence,
  end: Pick<Interval, 'low' | 'high'>,
): { low: number; high: number; value: number } | null {
  const first = lastAtOrBefore(speed, end.low);
  let last = lastAtOrBefore(speed, end.high);
  if (last >= 0 && speed.times[last]! < end.high) last += 1;
  if (first < 0 || last >= speed.times.length) return null;
  let high = Math.max(evidence.learned.blindSpeedKph, speed.values[first]!);
  let low = Number.POSITIVE_INFINITY;
  for (let i = first; i < last; i++) {
    const gap = speed.times[i + 1]! - speed.times[i]!;
    if (gap > speed.standsMs) return null;
    const seconds = gap / 1000;
    // It may have gathered speed before it arrived, over a long gap as much as it can.
    const pressed = mayBePressed(evidence, speed.times[i]!) || mayBePressed(evidence, speed.times[i + 1]!);
    const rate = gap > speed.proofGapMs ? gathersKphPerSecond : pressed ? pressedKphPerSecond : creepsKphPerSecond;
    const from = pressed && speed.values[i] === 0 ? evidence.learned.blindSpeedKph : speed.values[i]!;
    high = Math.max(high, speed.values[i + 1]!, from + rate * seconds);
    low = Math.min(low, speed.values[i]! - brakesKphPerSecond * seconds);
  }
  if (last === first) low = speed.values[first]!;
  low = Math.max(0, low - speed.silentBelow);
  return { low, high: high + speed.silentBelow, value: (low + high) / 2 };
}

/** Whether the accelerator is pressed at an instant, or nothing shows that it is released. */
function mayBePressed(evidence: Evidence, timeMs: number): boolean {
  const { releasedPedalPct: released, idleRpm } = evidence.learned;
  const pedal = valueAt(samplesOf(evidence, 'acceleratorPct'), timeMs);
  if (!Number.isNaN(pedal)) return pedal > (released ?? largestReleasedPct) + pressedPct;
  const rpm = valueAt(samplesOf(evidence, 'engineRpm'), timeMs);
  return idleRpm === null || !(rpm <= idleRpm + raisedRpm);
}
