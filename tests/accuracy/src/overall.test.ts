import { describe, expect, it } from 'vitest';
import { overall } from './overall.ts';
import { provableTable } from './report.ts';
import { type CheckTally, noJudgement } from './tally.ts';

const tally = (some: Partial<CheckTally>): CheckTally => ({ ...noJudgement(), ...some });

describe('the figures over all sets', () => {
  const one = { checks: { pause: tally({ judged: 10, right: 9, provable: 4 }) } };
  const two = { checks: { pause: tally({ judged: 5, falseMissed: 1, provable: 2 }), stop: tally({ judged: 3 }) } };
  const { checks, brier, episodes } = overall(
    [one, two],
    [
      { confidence: 1, real: true },
      { confidence: 1, real: false },
    ],
  );

  it('sum each check over the sets that have it', () => {
    expect(checks.pause).toEqual(tally({ judged: 15, right: 9, falseMissed: 1, provable: 6 }));
    expect(checks.stop).toEqual(tally({ judged: 3 }));
  });

  it('say how well the stated confidences fit', () => {
    expect({ brier, episodes }).toEqual({ brier: 0.5, episodes: 2 });
  });

  it('name in a sentence each check of which something was provable', () => {
    const text = provableTable([{ set: 'all sets', checks }]);
    expect(text).toBe('all sets / pause: provable verdicts: 6, false missed: 1, undetermined though provable: 0\n');
  });
});
