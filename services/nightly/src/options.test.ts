import { Failure } from '@gearhold/shared';
import { expect, test } from 'vitest';
import { type NightlySettings, nightlyCommand } from './options.ts';

/** 2 a.m. of 3 March in Chicago. */
const nowMs = Date.UTC(2026, 2, 3, 8);

async function settings(...args: string[]): Promise<NightlySettings> {
  const asked: NightlySettings[] = [];
  const command = nightlyCommand(
    async (given) => void asked.push(given),
    { DATABASE_URL: 'postgresql://db/fleet' },
    nowMs,
  );
  command.exitOverride().configureOutput({ writeErr: () => {}, outputError: () => {} });
  await command.parseAsync(args, { from: 'user' });
  return asked[0]!;
}

const chicago = ['--zone', 'America/Chicago', '--inbox', 'inbox'];

test('yesterday in the zone is the day where none is given', async () => {
  const { windows, place } = await settings(...chicago);
  expect(windows.map(({ day }) => day)).toEqual(['2026-03-02']);
  expect(new Date(windows[0]!.startMs).toISOString()).toBe('2026-03-02T06:00:00.000Z');
  expect(place.databaseUrl).toBe('postgresql://db/fleet');
  expect((await settings('--zone', 'Asia/Tokyo', '--inbox', 'inbox')).windows[0]!.day).toBe('2026-03-02');
  expect((await settings('--zone', 'Pacific/Honolulu', '--inbox', 'inbox')).windows[0]!.day).toBe('2026-03-01');
});

test('several days are both ends and all between', async () => {
  const { windows } = await settings(...chicago, '--from', '2026-03-07', '--to', '2026-03-09');
  expect(windows.map(({ startMs, endMs }) => (endMs - startMs) / 3_600_000)).toEqual([24, 23, 24]);
});

test('a policy holds from the first instant of its day in the zone', async () => {
  const { policyFromMs } = await settings(...chicago, '--policy-from', '2026-03-09');
  expect(new Date(policyFromMs!).toISOString()).toBe('2026-03-09T05:00:00.000Z');
});

test.each([
  [['--inbox', 'inbox'], /the zone is missing/],
  [['--zone', 'UTC'], /there is nothing to take/],
  [[...chicago, '--day', '2026-03-02', '--from', '2026-03-01'], /exclude each other/],
  [[...chicago, '--from', '2026-03-01'], /one is missing/],
  [[...chicago, '--from', '2026-03-02', '--to', '2026-03-01'], /lies before --from/],
])('%j is told in a sentence', async (args, sentence) => {
  const asked = settings(...args);
  await expect(asked).rejects.toThrow(sentence);
  await expect(asked).rejects.toBeInstanceOf(Failure);
});

test.each([
  [[...chicago, '--day', '2026-02-29'], /Expected a day of the calendar/],
  [['--zone', 'America/Nowhere', '--inbox', 'inbox'], /Expected an IANA time zone/],
  [[...chicago, '--keep-days', '-1'], /Expected a whole number/],
  [[...chicago, '--drivers', 'all'], /Allowed choices are named, pseudonym, none/],
])('%j is refused by the parser', async (args, sentence) => {
  await expect(settings(...args)).rejects.toThrow(sentence);
});
