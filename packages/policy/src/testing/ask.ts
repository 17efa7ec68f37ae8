/** Judges one check under the built-in limits, or some of them changed, for tests. */
import type { Episode } from '@gearhold/episodes';
import { type AssessedCheck, assess } from '../assess.ts';
import type { Context } from '../check.ts';
import type { CheckName } from '../checks/index.ts';
import { builtInPolicy, changed, type SettingChange } from '../policy.ts';

export const nowhere: Context = { site: null, vehicle: null };

export function ask(
  check: CheckName,
  episode: Episode,
  change: SettingChange = {},
  context: Context = nowhere,
): AssessedCheck {
  const checks = builtInPolicy.checks.map((setting) => (setting.check === check ? changed(setting, change) : setting));
  const assessed = assess(episode, { ...builtInPolicy, checks }, context).find((one) => one.check === check);
  if (assessed === undefined) throw new RangeError(`${check} is not asked of a ${episode.kind}`);
  return assessed;
}
