import { describe, expect, it } from 'vitest';
import { overall } from './overall.ts';
import { provableTable, witnessTable } from './report.ts';
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

  it('say of each check how many verdicts were provable, and whether they are enough to say that none was false', () => {
    const table = witnessTable({
      pause: tally({ provable: 1000, provableMissed: 400, provableUndetermined: 50 }),
      stop: tally({ provable: 999, enumeratorWrong: 1 }),
    });
    const cells = table.split('\n').map((line) => line.split('|').map((cell) => cell.trim()));
    expect(cells[2]).toEqual(['', 'pause', '1000', '400', '0', '0', '5.0 %', '0', 'yes', '']);
    expect(cells[3]).toEqual(['', 'stop', '999', '0', '0', '0', '0 %', '1', 'no, below 1000', '']);
  });
});
