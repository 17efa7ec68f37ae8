/** Sentences of checks in the reader's units, figures bound to their units. */
import { boundUnits, capital, checkSentence, type Units, unjudgedReason } from '@gearhold/look';
import type { WireCheck } from '@gearhold/policy';
import type { JudgedCheck } from '../server/messages.ts';

/** A check of an answer as the packages know it: the service speaks their words, the wire's types are only wider. */
export function wireCheck(check: object): WireCheck {
  return check as unknown as WireCheck;
}

/** The sentence; that of an episode from before sentences came in parts is given as it was said, in SI. */
export function sentenceOf(check: Said, units: Units): string {
  if (check.reasonParts === undefined) return boundUnits(capital(check.reason));
  return boundUnits(checkSentence(wireCheck(check), units));
}

interface Said {
  readonly reason: string;
  readonly reasonParts?: JudgedCheck['reasonParts'] | undefined;
}

/** Why it could not be judged, without the words that it could not. */
export function reasonUnjudged(check: Pick<JudgedCheck, 'reasonParts'>, units: Units): string {
  return boundUnits(unjudgedReason(wireCheck(check), units));
}
