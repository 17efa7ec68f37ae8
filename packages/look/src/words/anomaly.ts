/**
 * What is said of an anomaly beside its sentence: whom it is for, what episode it was, what was seen in all. The same words on
 * every face.
 */
import type { Concern, Urgency, WireCheck, WireEpisode } from '@gearhold/policy';
import { sentence } from '@gearhold/policy';
import { capital } from './numbers.ts';
import { count, kindPlural } from './printable.ts';
import type { Units } from './units.ts';

/** Before the sentence where it cannot wait; empty where it can. */
export const urgencyTags: Readonly<Record<Urgency, string>> = {
  urgent: 'urgent',
  today: 'see to it today',
  routine: '',
};

/** The sentence of a check in the reader's units. */
export function checkSentence(check: Pick<WireCheck, 'reasonParts'>, units: Units): string {
  return capital(sentence(check, units === 'us' ? 'us' : 'si'));
}

/** Why a check could not be judged, without the words that it could not. */
export function unjudgedReason(check: Pick<WireCheck, 'reasonParts'>, units: Units): string {
  return capital(checkSentence(check, units).replace(/^Could not be judged: /, ''));
}

/**
 * Whom a miss is for. `driver` is the name or id to be shown, null where nobody is known, undefined where none is to be shown.
 * One that was carried from before the episode is told apart from one reported within it.
 */
export function concernWords(
  concern: Concern,
  driver: string | null | undefined,
  driverBasis: WireEpisode['driverBasis'],
): string {
  if (concern === 'yard') return 'for the yard';
  if (concern === 'shop') return 'for the shop';
  if (concern === 'unclear') return 'for whom is unclear';
  if (driver === undefined) return 'for the driver';
  if (driver === null) return 'for the driver, who is not known';
  return `for the driver: ${driver}${driverBasis === 'carried' ? ', signed in before' : ''}`;
}

const trailerWords = {
  empty: ' of an empty trailer',
  part: ' of a part-loaded trailer',
  loaded: ' of a loaded trailer',
  unknown: '',
} as const;

/** `coupling of an empty trailer, 98 % sure`; the figure does not part from its sign. */
export function episodeWords({
  kind,
  trailerLoad,
  confidence,
}: Pick<WireEpisode, 'kind' | 'trailerLoad' | 'confidence'>): string {
  return `${kind}${trailerWords[trailerLoad]}, ${Math.round(confidence * 100)}\u00a0%\u00a0sure`;
}

/** `148 couplings and uncouplings, 2 attempts` */
export function kindsSeen(kinds: ReadonlyMap<string, number>): string {
  const main = (kinds.get('coupling') ?? 0) + (kinds.get('uncoupling') ?? 0);
  const parts = [count(main, 'coupling or uncoupling', 'couplings and uncouplings')];
  for (const [kind, times] of [...kinds].sort(([a], [b]) => (a < b ? -1 : 1))) {
    if (kind !== 'coupling' && kind !== 'uncoupling') parts.push(count(times, kind, kindPlural(kind)));
  }
  return parts.join(', ');
}
