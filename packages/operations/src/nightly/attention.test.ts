import { IntakeReport } from '@gearhold/signals';
import { expect, test } from 'vitest';
import { dayWindow } from '../day/window.ts';
import { attentionOf } from './attention.ts';
import type { DayOutcome, NightOutcome } from './outcome.ts';
import { nightLines } from './summary.ts';

const window = dayWindow('2026-03-08', 'America/Chicago');
const quietDay: DayOutcome = { window, heard: 6, silent: [], episodes: 30, anomalies: 1, digests: [] };

function night(days: DayOutcome[], files: NightOutcome['files'] = []): Omit<NightOutcome, 'attention'> {
  return { files, unsettled: [], analysis: { vehicles: 0, added: 0, changed: 0, withdrawn: 0 }, days, pruned: null };
}

function file(outcome: 'taken' | 'known' | 'failed', rejected: number): NightOutcome['files'][number] {
  const report = new IntakeReport();
  report.rowsRead = 10;
  report.rejected.time = rejected;
  const problem = outcome === 'failed' ? 'north.csv: ends inside a row' : null;
  return {
    name: 'north.csv',
    sha256: '0'.repeat(64),
    outcome,
    report,
    rowsNew: 10 - rejected,
    rowsChanged: 0,
    resumedAtRow: 0,
    problem,
  };
}

function codes(days: DayOutcome[], files: NightOutcome['files'] = [], unknown: string[] = []): string[] {
  return attentionOf(night(days, files), unknown).map(({ code }) => code);
}

test('a night on which all went well asks nobody', () => {
  expect(codes([quietDay], [file('taken', 0)])).toEqual([]);
  // What was told of on the night it was taken is not told again.
  expect(codes([quietDay], [file('known', 3)])).toEqual([]);
});

test('each thing that somebody should look at has its code', () => {
  expect(codes([quietDay], [file('taken', 3)])).toEqual(['rejects']);
  expect(codes([quietDay], [file('failed', 0)])).toEqual(['file-unreadable']);
  expect(codes([quietDay], [], ['inbox/sheet.xlsx'])).toEqual(['file-unknown']);
  expect(codes([{ ...quietDay, silent: ['T-9'] }])).toEqual(['silent-trucks']);
  expect(codes([{ ...quietDay, heard: 0, silent: ['T-9'] }])).toEqual(['no-readings']);
  const mail = { day: '2026-03-08', recipient: 'a@example.org', path: null, problem: 'the connection broke' } as const;
  const digests = [
    { ...mail, state: 'unknown' },
    { ...mail, state: 'refused' },
    { ...mail, state: 'sent' },
  ] as const;
  expect(codes([{ ...quietDay, digests }])).toEqual(['mail-unknown', 'mail-refused']);
});

test('the sentence says what, where, and what to do', () => {
  const [rejects] = attentionOf(night([quietDay], [file('taken', 3)]), []);
  expect(rejects!.sentence).toBe(
    'north.csv: 3 of 10 rows were rejected, 3 because its time is missing or not in the expected form; they are kept in the store.',
  );
  const many = Array.from({ length: 11 }, (_, i) => `T-${i}`);
  const [silent] = attentionOf(night([{ ...quietDay, silent: many }]), []);
  expect(silent!.sentence).toMatch(/^T-0, .*T-7 and 3 more have sent nothing on 2026-03-08/);
});

test('the summary names the window, its length and the zone data, and ends with what to look at', () => {
  const found = { ...night([{ ...quietDay, silent: ['T-9'] }], [file('taken', 3)]), unsettled: ['inbox/new.csv'] };
  const lines = nightLines({ ...found, attention: attentionOf(found, []) });
  expect(lines).toContain('files        1 taken');
  expect(lines).toContain('rows         10 read, 7 new, 0 corrected, 3 rejected');
  expect(lines.join('\n')).toMatch(
    /2026-03-08T06:00:00\.000Z to 2026-03-09T05:00:00\.000Z, 23 h, zone data 20\d\d[a-z]/,
  );
  expect(lines.join('\n')).toContain('inbox/new.csv: written to within the last minute');
  expect(lines.slice(-3)[0]).toBe('Somebody should look:');
  expect(lines.at(-1)).toMatch(/^- T-9 sent nothing/);
});
