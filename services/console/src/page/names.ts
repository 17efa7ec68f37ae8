/** How things are called on the page: checks, states of a case, what a person decided. */
import { capital } from '@gearhold/look';

/** `gear-hold-pause` as `Gear-hold pause`: the last dash joins no compound. */
export function checkName(check: string): string {
  const words = check.replaceAll('-', ' ').replace(/^gear hold /, 'gear-hold ');
  return capital(words);
}

export const stateWords: Readonly<Record<string, string>> = {
  open: 'open',
  confirmed: 'confirmed',
  dismissed: 'dismissed',
  'with-yard': 'with the yard',
  'with-shop': 'with the shop',
  closed: 'closed',
};

/** What was done, after the name of who did it. */
export const actionWords: Readonly<Record<string, string>> = {
  confirm: 'confirmed it',
  dismiss: 'dismissed it',
  'hand-to-yard': 'handed it to the yard',
  'hand-to-shop': 'handed it to the shop',
  assign: 'assigned it',
  note: 'noted',
  close: 'closed it',
  undo: 'took the last decision back',
};

export const outcomeWords: Readonly<Record<string, string>> = {
  met: 'met',
  missed: 'missed',
  undetermined: 'not judged',
  'not-applicable': 'not asked',
};
