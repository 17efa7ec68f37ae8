/**
 * Weighs a rise of the load: is it a trailer taken?
 *
 * A coupling begins in reverse, from bobtail, within seconds, even where the rest of the load arrives later. A dock or a
 * container changes the load of a trailer that is already on, at standstill, and from a level that is not bobtail.
 */
import type { Move } from '../motion/moves.ts';
import { shareOnArrival } from './arrival.ts';
import { isPrompt } from './backing.ts';
import { changedAtOnce, emptySprings, mayLift, usualBobtail } from './fall.ts';
import type { Coupled } from './resolve.ts';
import type { Scene } from './scene.ts';
import { besideTheLightest, notAtOnce, secondsOfChange, type Transfer, type Weighed } from './transfer.ts';
import { findTugTests } from './tug-tests.ts';

/** Where bobtail is not known yet, so much of the rise must come with the kingpin's arrival; a dock loads later. */
const leastOnArrival = 0.2;
/** A tug test comes within this after backing under, ms (the house policy of the built-in check). */
const tugWithinMs = 120_000;
/** Legs are cranked up within this after it, ms (common practice). */
const longestLegsMs = 1_200_000;
/** No tractor with one driven axle is known to have less in its springs, kPa (half of a published design example's 230). */
const leastOneAxleKpa = 115;
/** From the first load on, a trailer that stood high is on the springs within this, s (common practice); a dock takes longer. */
const longestCrankSeconds = 300;
/** Where bobtail is not known yet, a trailer must raise the level by this factor; sliding axles move less. */
const unknownRise = 1.25;
/** The same where a lift axle may have gone up, and no gear tells which way the truck went. */
const liftedRise = 1.5;

/** Share of the load of a trailer above bobtail from which a rise is hardly the taking of it. */
const mostAbove = 0.5;

export function weighRise(scene: Scene, transfer: Transfer, backing: Move | null, state: Coupled): Weighed {
  const weighed = notAtOnce(
    scene,
    transfer,
    besideTheLightest(scene, transfer.to, weigh(scene, transfer, backing, state)),
  );
  // A tractor that backs under with empty springs teaches no bobtail level.
  return emptySprings(scene, transfer.from) ? { ...weighed, teaches: false } : weighed;
}

function weigh(scene: Scene, transfer: Transfer, backing: Move | null, state: Coupled): Weighed {
  const isOut = state === 'off';
  const thoughtOn = state === 'on';
  const refused: Weighed = { confidence: 0, teaches: false };
  const { from, to } = transfer;
  const { bobtail } = scene.levels;
  const prompt = backing !== null && isPrompt(transfer, backing);
  const seconds = secondsOfChange(scene, transfer);
  const grown = scene.sprung(to) / scene.sprung(from);
  if (bobtail === null) {
    const lifted = mayLift(scene, !scene.gearReported);
    if (backing === null || grown < (lifted ? liftedRise : unknownRise)) return refused;
    // No tractor is known to weigh so much alone: believed when a second transfer says the same.
    if (from > usualBobtail(scene)) return { confidence: 0, teaches: prompt && seconds < 120 };
    // Too little for a tractor with one driven axle: its springs were not full.
    if (scene.vehicle?.driveAxles === 1 && scene.signal === 'suspensionKpa' && from < leastOneAxleKpa) return refused;
    // On empty springs: what fills them is the valve.
    if (emptySprings(scene, from)) return refused;
    const sure = scene.gearReported ? 0.95 : 0.85;
    const share = shareOnArrival(scene, to - from, transfer.before.toMs, transfer.time.high);
    if (prompt && share >= leastOnArrival)
      return { confidence: seconds < 120 ? sure : sure - 0.1, teaches: scene.gearReported || seconds < 30 };
    const afterMs = transfer.onset.low - backing.end.best;
    // A pull against set brakes after the backing is done under no trailer that was on before.
    const tugged = afterMs < longestLegsMs && tuggedAfter(scene, transfer, backing);
    if (prompt && tugged && grown > 1.4) return { confidence: 0.85, teaches: false };
    // So light that no trailer can have been on: whatever came on since the backing is one.
    const alone = scene.vehicle?.driveAxles !== undefined && !lifted && transfer.before.fellFrom === undefined;
    const cranked = seconds < longestCrankSeconds && !changedAtOnce(scene, transfer);
    if (alone && afterMs < longestLegsMs && cranked && grown > 1.6) return { confidence: 0.85, teaches: false };
    if (isOut && seconds < 120) return { confidence: 0.75, teaches: false };
    if (seconds < 40 && afterMs < 25_000 && !prompt && transfer.before.fellFrom === undefined)
      return { confidence: 0.6, teaches: false };
    if (tugged && seconds < 120 && grown > 1.6 && transfer.before.fellFrom === undefined)
      return { confidence: 0.75, teaches: false };
    return refused;
  }
  const above = from - bobtail;
  const near = Math.max(scene.tolerance.distinct(from, bobtail), 0.1 * (to - bobtail));
  if (above > near && !isOut) return refused;
  // Out, and still far above bobtail: more was on than came on now, so most of it came at another time.
  if (above > Math.max(near, mostAbove * (to - bobtail))) return { confidence: 0.6, teaches: false };
  // From empty springs up to bobtail: a refill, whatever the truck did meanwhile.
  if (to - bobtail <= scene.tolerance.distinct(to, bobtail)) return refused;
  if (backing === null) return isOut && !emptySprings(scene, from) ? { confidence: 0.6, teaches: false } : refused;
  // A trailer is thought to be on already: either that one was left unseen, or this is none.
  if (thoughtOn) return { confidence: prompt ? 0.85 : 0.75, teaches: prompt };
  if (prompt) return { confidence: scene.gearReported ? 0.99 : 0.97, teaches: true };
  return { confidence: seconds < 90 ? 0.95 : 0.88, teaches: false };
}

/** Whether a tug test followed a backing, before the truck moved on. */
function tuggedAfter(scene: Scene, transfer: Transfer, backing: Move): boolean {
  const toMs = Math.min(backing.end.best + tugWithinMs, transfer.after.fromMs);
  return findTugTests(scene, backing.end.best, toMs).length > 0;
}
