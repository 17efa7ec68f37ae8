/**
 * What of a load signal the air springs carry. Gauge pressure is all theirs. An axle load has the axles, wheels and brakes in
 * it, which no trailer changes, so a share of a level is taken of what lies above them, and springs with nothing in them read
 * not 0 but that weight. Both are learned: nothing goes below exhausted springs, so the lightest level that ever stood, once
 * it lies below bobtail, is theirs. Levels in the unit of the load signal.
 */
import { smallestTransfer } from './tolerance.ts';

/** Springs with less in them carry nothing, kPa: a sensor's offset, and less than the lightest tractor's own load (common practice). */
const emptyKpa = 18;
/** The same in kg above the lightest level, as a share of the smallest transfer. */
const emptyShare = 0.5;
/** A level this much below bobtail, in the same share, is that of no tractor on filled springs. */
const exhaustedShare = 0.7;
/**
 * Of the lightest level that ever stood, at least this share is not on the springs, until exhausted ones were seen: drive axles
 * weigh half and more of what stands on them under a tractor alone (common practice).
 */
const leastUnsprung = 0.5;

export interface Springs {
  /** What no spring carries; 0 for a pressure. */
  readonly unsprung: number;
  /** A level at or below this is that of springs with next to nothing in them; -Infinity where not known. */
  readonly emptyAt: number;
  /** A level at or below this may be. */
  readonly perhapsEmptyAt: number;
}

const unknownSprings: Springs = {
  unsprung: 0,
  emptyAt: Number.NEGATIVE_INFINITY,
  perhapsEmptyAt: Number.NEGATIVE_INFINITY,
};

const pressureSprings: Springs = { unsprung: 0, emptyAt: emptyKpa, perhapsEmptyAt: emptyKpa };

/**
 * Springs of a truck, by the signal that it reports.
 *
 * @param lightest the lightest level that ever stood, in the unit of the signal; infinite where none did
 * @param bobtail the level believed to be bobtail, or null
 */
export function springsOf(signal: keyof typeof smallestTransfer, lightest: number, bobtail: number | null): Springs {
  if (signal === 'suspensionKpa') return pressureSprings;
  if (!Number.isFinite(lightest)) return unknownSprings;
  const perhapsEmptyAt = lightest + emptyShare * smallestTransfer.axleLoadKg;
  const exhausted = bobtail !== null && bobtail - lightest > exhaustedShare * smallestTransfer.axleLoadKg;
  return exhausted
    ? { unsprung: lightest, emptyAt: perhapsEmptyAt, perhapsEmptyAt }
    : { unsprung: leastUnsprung * lightest, emptyAt: Number.NEGATIVE_INFINITY, perhapsEmptyAt };
}
