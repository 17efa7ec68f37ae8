import { beforeAll, describe, expect, it } from 'vitest';
import { writeReadings } from '../bench/readings.ts';
import { testFolder } from './folder.ts';
import { gearhold } from './spawn.ts';

const folder = testFolder();
const csv = folder.at('day.csv');

beforeAll(() => writeReadings(csv, 9000, 4));

describe('gearhold report', () => {
  it('prints a page of 80 columns without colour where the output is no terminal', async () => {
    const ran = await gearhold(['report', csv], { env: { FORCE_COLOR: '1' } });
    expect(ran.status).toBe(0);
    const lines = ran.stdout.trimEnd().split('\n');
    expect(lines[0]).toMatch(/^gearhold {2,}.*day\.csv$/);
    expect(lines[1]).toBe('━'.repeat(80));
    expect(lines[2]).toMatch(/^\d+ couplings and uncouplings seen on 4 trucks, on 2 Mar 2026 \(UTC\)\./);
    expect(lines.at(-1)).toMatch(/never called done\.$/);
    expect(Math.max(...lines.map((line) => line.length))).toBeLessThanOrEqual(80);
    expect(ran.stdout).not.toContain('\u001b');
    expect(ran.stderr).toMatch(/^rows read {9}9,000 from 1 file/m);
  });

  it('holds every missed and undetermined check of analyze, and tallies the rest', async () => {
    const episodes = (await gearhold(['analyze', csv])).stdout.trimEnd().split('\n');
    const outcomes = episodes.flatMap((line) => {
      return (JSON.parse(line) as { checks: { outcome: string }[] }).checks.map(({ outcome }) => outcome);
    });
    const times = (wanted: string) => outcomes.filter((outcome) => outcome === wanted).length;
    const { stdout } = await gearhold(['report', csv]);
    const figure = (heading: string) => Number(new RegExp(`^${heading}: (\\d+)$`, 'm').exec(stdout)?.[1] ?? 0);
    expect(figure('To look at')).toBe(times('missed'));
    expect(figure('Could not be judged')).toBe(times('undetermined'));
    const table = stdout.slice(stdout.indexOf('\nChecks')).split('\n').slice(3);
    const met = table.slice(0, table.indexOf('')).map((line) => Number(line.trim().split(/\s+/)[1]));
    expect(met.reduce((sum, figures) => sum + figures, 0)).toBe(times('met'));
  });

  it('says speeds and distances in mph and feet with --units us', async () => {
    const policy = folder.write('slow.json', '{ "version": 1, "checks": { "backing-speed": { "maxKph": 1 } } }');
    const metric = (await gearhold(['report', '--policy', policy, csv])).stdout;
    const us = (await gearhold(['report', '--units', 'us', '--policy', policy, csv])).stdout;
    expect(metric).toMatch(/├┄+┃┄+█+┄+┤ \d+ km\/h/);
    expect(us).toMatch(/├┄+┃┄+█+┄+┤ \d+ mph/);
    expect(us).not.toMatch(/\d (km\/h|kPa|m|kg)\b/);
  });

  it('draws in ASCII with --ascii', async () => {
    const { stdout } = await gearhold(['report', '--ascii', csv]);
    expect(stdout).toMatch(/^[\n\x20-\x7e]*$/);
  });

  it('says what would stand there where nothing was found', async () => {
    const empty = folder.write('empty-day.csv', 'time,vehicleId,speedKph\n');
    const ran = await gearhold(['report', empty]);
    expect(ran.status).toBe(0);
    expect(ran.stdout).toContain('No readings could be used');
  });

  it('shows what was found before the input broke off, and says so with exit status 3', async () => {
    const ran = await gearhold(['report', csv, folder.at('missing.csv')]);
    expect(ran.status).toBe(3);
    expect(ran.stdout).toContain('seen on 4 trucks');
    expect(ran.stderr).toMatch(/missing\.csv.*there is no such file/);
  });
});
