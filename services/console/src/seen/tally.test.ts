import { expect, it } from 'vitest';
import type { JudgedCheck } from '../server/messages.ts';
import { shareText, tallyOf } from './tally.ts';

const endMs = Date.parse('2026-03-31T00:00:00Z');

function checks(check: string, outcome: string, times: number, daysBefore = 0): JudgedCheck[] {
  const loadTransferTime = new Date(endMs - daysBefore * 86_400_000).toISOString();
  return Array.from({ length: times }, () => ({ check, outcome, loadTransferTime }) as unknown as JudgedCheck);
}

it('tells a share of what could be judged only, with its interval', () => {
  const [tally] = tallyOf(
    [...checks('a', 'missed', 3), ...checks('a', 'met', 9), ...checks('a', 'undetermined', 40)],
    endMs,
    [],
  );
  expect(tally).toMatchObject({ met: 9, missed: 3, undetermined: 40 });
  // Wilson's interval of 3 of 12, by the published formula: 0.0889 to 0.5323.
  expect(tally!.share!.low).toBeCloseTo(0.0889, 3);
  expect(tally!.share!.high).toBeCloseTo(0.5323, 3);
  expect(shareText(tally!.share!)).toBe('25\u00a0%, most likely 9 to 53\u00a0%');
});

it('says nothing where the share could be nearly anything', () => {
  expect(tallyOf(checks('a', 'missed', 1), endMs, [])[0]!.share).toBeNull();
  expect(tallyOf(checks('a', 'undetermined', 100), endMs, [])[0]!.share).toBeNull();
  expect(tallyOf([...checks('a', 'missed', 2), ...checks('a', 'met', 3)], endMs, [])[0]!.share).toBeNull();
});

it('counts by stretches of 30 days, the latest first', () => {
  const [tally] = tallyOf(
    [
      ...checks('a', 'missed', 1, 0),
      ...checks('a', 'met', 2, 29),
      ...checks('a', 'missed', 1, 30),
      ...checks('a', 'met', 1, 89),
    ],
    endMs,
    [],
  );
  expect(tally!.byPart).toEqual([
    { missed: 1, judged: 3 },
    { missed: 1, judged: 1 },
    { missed: 0, judged: 1 },
  ]);
});

it('keeps the order of the policy, and leaves out what was never asked', () => {
  const tallies = tallyOf(
    [...checks('b', 'met', 1), ...checks('a', 'met', 9), ...checks('c', 'not-applicable', 3)],
    endMs,
    ['b', 'a', 'c'],
  );
  expect(tallies.map(({ check }) => check)).toEqual(['b', 'a']);
});
