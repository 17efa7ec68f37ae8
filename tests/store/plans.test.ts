/** The analyst's usual questions are answered from indexes on every engine: the plans at a small size, never the times. */
import { expect, it } from 'vitest';
import { fillFleetYear, planOf, usualQuestions } from '../bench/fleet-year.ts';
import { nowMs, onEveryEngine } from './engines.ts';

const year = { vehicles: 200, terminals: 2, episodes: 20_000, untilMs: nowMs };

onEveryEngine('the plan', (store) => {
  it('of each usual question reads no table from end to end', async () => {
    await fillFleetYear(store(), year);
    for (const question of usualQuestions(year.untilMs)) {
      const rows = await store().rows(question.sql, question.parameters);
      expect(rows.length, question.name).toBeGreaterThan(0);
      const plan = await planOf(store(), question);
      expect(plan.length, question.name).toBeGreaterThan(0);
      expect(
        plan.filter(({ scan }) => scan === 'Seq Scan'),
        question.name,
      ).toEqual([]);
    }
  });

  it('of one check over a year reads what its index says, and nothing else', async () => {
    const weeks = usualQuestions(year.untilMs).find(({ name }) => name.startsWith('one check over a year'))!;
    const plan = await planOf(store(), weeks);
    expect(plan.flatMap(({ index }) => index ?? [])).toEqual(['check_result_by_check']);
    // One build in process never marks pages as all visible, without which the table is looked at as well.
    const expected = (await store().describe()).timescale === null ? ['Index Only Scan'] : [expect.any(String)];
    expect(plan.slice(0, 1).map(({ scan }) => scan)).toEqual(expected);
  });
});
