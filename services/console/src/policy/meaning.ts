/** What the checks and limits of a policy mean, and a policy document read as the analysis reads it. The words are the checks' own. */
import { type CheckSetting, checkList, parsePolicy } from '@gearhold/policy';

export interface CheckMeaning {
  readonly title: string;
  readonly limits: Readonly<Record<string, { readonly meaning: string }>>;
}

export const checkMeanings: ReadonlyMap<string, CheckMeaning> = new Map(
  checkList.map(({ name, title, limits }) => [name, { title, limits }]),
);

/** What a stored policy asks, check by check; what its document leaves out is built in. Null where it cannot be read any more. */
export function settingsOf(document: unknown): readonly CheckSetting[] | null {
  const result = parsePolicy(document);
  return 'policy' in result && result.policy !== null ? result.policy.checks : null;
}
