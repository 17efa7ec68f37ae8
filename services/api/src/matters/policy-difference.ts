/** What a draft asks otherwise than the policy in force, check by check and limit by limit. */
import type { CheckSetting, Policy } from '@gearhold/policy';

type Said = string | number | boolean;

export interface Difference {
  readonly check: string;
  readonly what: string;
  readonly inForce: Said | null;
  readonly draft: Said | null;
}

export function policyDifferences(inForce: Policy, draft: Policy): { items: Difference[]; overridesDiffer: boolean } {
  const items: Difference[] = [];
  for (const [place, setting] of draft.checks.entries()) {
    const heldPlace = inForce.checks.findIndex(({ check }) => check === setting.check);
    const held = inForce.checks[heldPlace];
    for (const [what, said] of Object.entries(saidOf(setting))) {
      const before = held === undefined ? null : (saidOf(held)[what] ?? null);
      if (before !== said) items.push({ check: setting.check, what, inForce: before, draft: said });
    }
    if (heldPlace !== place) {
      items.push({ check: setting.check, what: 'order', inForce: heldPlace + 1, draft: place + 1 });
    }
  }
  return { items, overridesDiffer: JSON.stringify(inForce.overrides) !== JSON.stringify(draft.overrides) };
}

function saidOf({ enabled, concern, urgency, limits }: CheckSetting): Record<string, Said> {
  return { enabled, concern, urgency, ...limits };
}
