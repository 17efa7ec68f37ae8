/** What could not be judged, gathered by check and reason: the list of sensors to mend, in words. */
import type { JudgedCheck } from '../server/messages.ts';

export interface UnjudgedGroup {
  readonly check: string;
  readonly times: number;
  /** Ascending. */
  readonly vehicleIds: readonly string[];
  /** One of them, for its sentence. */
  readonly example: JudgedCheck;
}

/** The most frequent first. Checks whose sentences differ in figures only belong together. */
export function gatherUnjudged(checks: readonly JudgedCheck[]): UnjudgedGroup[] {
  const groups = Map.groupBy(checks, ({ check, reasonParts }) => {
    const words = Object.entries(reasonParts.values).filter(([, value]) => typeof value === 'string');
    return JSON.stringify([check, reasonParts.text, words]);
  });
  return [...groups]
    .sort(([a, some], [b, others]) => others.length - some.length || (a < b ? -1 : 1))
    .map(([, group]) => ({
      check: group[0]!.check,
      times: group.length,
      vehicleIds: [...new Set(group.map(({ vehicleId }) => vehicleId))].sort(),
      example: group[0]!,
    }));
}
