/**
 * What the policy asks of one episode: its checks of that kind, with the overrides of the site, the vehicle and their
 * terminals laid over in the order of the file.
 */
import type { EpisodeKind } from '@gearhold/episodes';
import type { CheckDefinition, Context } from './check.ts';
import { checkList } from './checks/index.ts';
import { type CheckSetting, changed, type Policy, type PolicyOverride } from './policy.ts';

export interface AskedCheck {
  readonly definition: CheckDefinition;
  readonly setting: CheckSetting;
}

/** Every enabled check of a kind, in the policy's order. */
export function askedChecks(policy: Policy, kind: EpisodeKind, vehicleId: string, context: Context): AskedCheck[] {
  const overrides = policy.overrides.filter((override) => holds(override, vehicleId, context));
  const asked: AskedCheck[] = [];
  for (const base of policy.checks) {
    const definition = checkList.find(({ name }) => name === base.check)!;
    if (!definition.kinds.includes(kind)) continue;
    const setting = overrides.reduce((before, override) => changed(before, override.checks[base.check]), base);
    if (setting.enabled) asked.push({ definition, setting });
  }
  return asked;
}

function holds(override: PolicyOverride, vehicleId: string, { site, vehicle }: Context): boolean {
  const { sites, vehicles, terminals } = override;
  if (sites !== null && !(site !== null && sites.includes(site.siteId))) return false;
  if (vehicles !== null && !vehicles.includes(vehicleId)) return false;
  const own = [site?.terminal, vehicle?.terminal];
  return terminals === null || terminals.some((terminal) => own.includes(terminal));
}
