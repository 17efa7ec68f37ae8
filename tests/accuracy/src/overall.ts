/**
 * Over all measured sets together: each check's verdicts, and whether confidence means what it says. A set alone has too few
 * provable verdicts of the rarer checks to say that none was falsely missed.
 */
import { type Bin, brierScore, reliability, type Stated } from './calibration.ts';
import type { SetFigures } from './report.ts';
import type { CheckTally } from './tally.ts';

export interface Overall {
  /** Summed over the sets. */
  readonly checks: Readonly<Record<string, CheckTally>>;
  readonly brier: number | null;
  readonly reliability: readonly Bin[];
  readonly episodes: number;
}

export function overall(all: readonly Pick<SetFigures, 'checks'>[], stated: readonly Stated[]): Overall {
  const checks: Record<string, CheckTally> = {};
  for (const set of all) {
    for (const [name, tally] of Object.entries(set.checks)) checks[name] = sum(checks[name], tally);
  }
  return { checks, brier: brierScore(stated), reliability: reliability(stated), episodes: stated.length };
}

function sum(a: CheckTally | undefined, b: CheckTally): CheckTally {
  if (a === undefined) return { ...b };
  const keys = Object.keys(b) as (keyof CheckTally)[];
  return Object.fromEntries(keys.map((key) => [key, a[key] + b[key]])) as unknown as CheckTally;
}
