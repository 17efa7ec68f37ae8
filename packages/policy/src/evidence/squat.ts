/**
 * Squat: the drive-axle height goes down as the trailer comes onto the fifth wheel, before the levelling valve answers.
 *
 * Evidence only that load came on, never that none did: a soft valve, a short sample or a light trailer shows no squat. A truck
 * that starts or brakes dips as well, but not at standstill: a squat counts where it stays until the truck has stopped. Lengths in
 * mm relative to ride height, times in ms since the epoch.
 */
import type { Evidence } from '@gearhold/episodes';
import { firstAtOrAfter, samplesOf } from './samples.ts';

/** Further below the height before than a levelling valve lets a frame wander, mm (common practice: dead bands of 4 to 9). */
const squatMm = 10;
/**
 * Heights before that differ by more than this, or lie further from ride height, were not settled, mm: one dead band of a
 * levelling valve (common practice). A frame that the trailer before left too high comes down by itself.
 */
const settledMm = 12;
const settledMs = 15_000;
const leastSettled = 3;
/** How long it must still show at standstill, ms. */
const stayedMs = 2000;

/**
 * Whether a sample taken while the truck was still backing shows the frame pressed down below the height at which it stood, and
 * all later ones until it has stood for a while.
 */
export function squats(evidence: Evidence, backsFromMs: number, backsUntilMs: number, standsFromMs: number): boolean {
  const height = samplesOf(evidence, 'rideHeightMm');
  const { times, values } = height;
  const first = firstAtOrAfter(height, backsFromMs);
  const before = values.slice(firstAtOrAfter(height, backsFromMs - settledMs), first);
  if (before.length < leastSettled) return false;
  const bare = Math.min(...before);
  const highest = Math.max(...before);
  if (highest - bare > settledMm || Math.max(Math.abs(bare), Math.abs(highest)) > settledMm) return false;
  // Twice the unrest of the height before: a sensor that shakes more must show more.
  const low = bare - squatMm - 2 * (highest - bare) - height.silentBelow;
  let since = Number.NaN;
  for (let i = first; i < times.length; i++) {
    if (i > 0 && times[i]! - times[i - 1]! > height.standsMs) return false;
    if (values[i]! >= low) since = Number.NaN;
    else if (Number.isNaN(since)) since = times[i]!;
    if (times[i]! >= standsFromMs + stayedMs) return since <= backsUntilMs;
  }
  return false;
}
