/**
 * How severe a missed check is, 0 to 1: how far beyond the limit the nearest bound of what was measured lies, as a share of
 * the limit, times the confidence that the episode happened. It sorts a morning's list and says nothing about a person.
 */
import { checkBar } from '@gearhold/look';
import type { WireEpisode } from '@gearhold/policy';

/** Severities of the checks that an episode missed, by check. */
export function severitiesOf({ checks, confidence }: WireEpisode): Record<string, number> {
  const missed = checks.filter(({ outcome }) => outcome === 'missed');
  return Object.fromEntries(missed.map((check) => [check.check, shareBeyond(check) * confidence]));
}

/** A step that was not taken at all, or of which nothing nearer is known, counts in full. */
function shareBeyond(check: WireEpisode['checks'][number]): number {
  const bar = checkBar(check, 'metric');
  if (bar === null || bar.labels.limit === null) return 1;
  const { side, value } = bar.limit;
  const beyond = side === 'atLeast' ? value - (bar.high ?? value) : (bar.low ?? value) - value;
  return value > 0 ? Math.min(1, Math.max(0, beyond / value)) : 1;
}
