/**
 * `contact-speed`: slowest and fastest, km/h, at which the kingpin can have arrived. It arrives somewhere between the last
 * sample that shows movement and the first instant of proven standing.
 *
 * Fastest: what any gap of that stretch leaves room for, where a truck gathers speed by no more than its foot lets it.
 * Slowest: above 0 only where the speed drops from one sample to the next by more than brakes can take off. Then nothing
 * but the throat stopped it, within that gap, at no less than the sample before less what brakes took off.
 */
import { approachOf } from './approach.ts';
import { atMost, type Bounds, type Limits, type TrueAnchor, unknownBounds } from './row.ts';
import { type Sample, samplesIn, type View } from './series.ts';

/** Hardest braking on dry ground, about 7 m/s2; km/h in a second. Common practice. */
const brakesKph = 25;
/** Fastest gathering of speed: with the foot on or unknown (2 m/s2), and creeping at idle; km/h in a second. Common practice. */
const pressedKph = 7;
const creepsKph = 1;
/** Pedal positions up to so much above released are no pressing, %; released reads at most 5 (contract). */
const releasedPct = 2;
const mostReleasedPct = 5;
const mostBlindKph = 6;
/** Over longer gaps a pedal may be pressed and let go unseen, ms. */
const pedalGapMs = 1500;

export function contactSpeed(view: View, episode: TrueAnchor, limits: Limits['contactSpeed']): Bounds {
  const speed = view.series('speedKph');
  if (speed === null) return unknownBounds;
  const approach = approachOf(view, episode);
  const { homeLowMs, homeHighMs } = approach;
  const samples = speed.samples;
  const first = samples.findLastIndex((s) => s.timeMs <= homeLowMs);
  const last = samples.findIndex((s) => s.timeMs >= homeHighMs);
  if (first < 0 || last < 0) return unknownBounds;
  const blind = view.known.blindSpeedKph ?? mostBlindKph;
  const most = (s: Sample): number => (s.value === 0 ? blind : s.value) + s.slack;
  let high = most(samples[first]);
  for (let i = first; i < last; i++) {
    const [a, b] = [samples[i], samples[i + 1]];
    if (speed.links[i] === 'hole') return unknownBounds;
    // Zeros with the foot off hide no more than the blind speed; with it on the throat may have stopped more in between.
    const off = footOff(view, a.timeMs, b.timeMs);
    const rate = !off ? pressedKph : a.value === 0 && b.value === 0 ? 0 : creepsKph;
    const gathered = (rate * (b.timeMs - a.timeMs)) / 1000;
    high = Math.max(high, most(b), most(a) + gathered);
  }
  return atMost(limits.maxKph, struckAt(samples, first, blind), high);
}

/** Least speed at which the throat must have stopped the truck after a sample; 0 where brakes may have. */
function struckAt(samples: readonly Sample[], at: number, blind: number): number {
  const [a, b] = [samples[at], samples[at + 1]];
  if (b === undefined) return 0;
  const braked = a.value - a.slack - (brakesKph * (b.timeMs - a.timeMs)) / 1000;
  const after = Math.max(b.value === 0 ? blind : b.value, 0) + b.slack;
  return braked > after ? braked : 0;
}

/** Whether every pedal position around a gap is a released one, and none is far from the next. */
function footOff(view: View, fromMs: number, toMs: number): boolean {
  const least = (view.known.releasedPedalPct ?? mostReleasedPct) + releasedPct;
  const pedal = view.series('acceleratorPct');
  const ends = [view.at('acceleratorPct', fromMs), view.at('acceleratorPct', toMs)];
  const inside = samplesIn(pedal, fromMs, toMs);
  if (pedal?.mode !== 'change-only' && toMs - fromMs > pedalGapMs) return false;
  return [...ends, ...inside].every((s) => s !== null && s.value - s.slack <= least);
}
