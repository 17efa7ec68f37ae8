import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { workMatchSchema } from '@gearhold/schemas';
import { describe, expect, it } from 'vitest';
import { testFolder } from './folder.ts';
import { gearhold, objects } from './spawn.ts';

const folder = testFolder();
const demo = (name: string) => fileURLToPath(new URL(`../../fixtures/demo/${name}`, import.meta.url));
const readings = demo('readings.csv.gz');
const fleet = ['--vehicles', demo('vehicles.json'), '--sites', demo('sites.json')];

interface Job {
  readonly vehicleId: string;
  readonly kind: string;
  readonly loadTransferTime: number;
  readonly detectable: boolean;
}

const truth: Job[] = (() => {
  const read: Job[] | { episodes: Job[] } = JSON.parse(readFileSync(demo('truth.json'), 'utf8'));
  return (Array.isArray(read) ? read : read.episodes).filter(
    ({ kind }) => kind === 'coupling' || kind === 'uncoupling',
  );
})();

/** What dispatch would have written: every job some minutes late, but for those left out. */
function workFile(name: string, leftOut: readonly number[], more: readonly string[] = []): string {
  const rows = truth.flatMap(({ vehicleId, kind, loadTransferTime }, i) => {
    if (leftOut.includes(i)) return [];
    const time = new Date(Math.round(loadTransferTime + ((i % 5) + 1) * 60_000)).toISOString();
    return [`${time},${vehicleId},${kind === 'coupling' ? 'hook' : 'drop'}`];
  });
  return folder.write(name, `time,vehicleId,action\n${[...rows, ...more].join('\n')}\n`);
}

async function matched(work: string, ...options: string[]) {
  const ran = await gearhold(['match', '--ndjson', '--work', work, ...options, ...fleet, readings]);
  expect(ran.status).toBe(0);
  return objects(ran.stdout).map((line) => workMatchSchema.parse(line));
}

describe('gearhold match', () => {
  it('finds nearly every record of the demo fleet, and knows why it finds none of a truck on steel springs', async () => {
    const results = await matched(workFile('all.csv', []));
    const summary = results.at(-1)!;
    if (summary.result !== 'summary') throw new Error('the last line sums up');
    const blind = truth.filter(({ detectable }) => !detectable).length;
    const lost = results.filter((one) => one.result === 'record-only');
    expect(lost.filter(({ reason }) => reason === 'blind-truck')).toHaveLength(blind);
    expect(summary.all.records).toBe(truth.length);
    expect(summary.all.found).toBeGreaterThanOrEqual(truth.length - blind - 2);
    expect(summary.all.low).toBeLessThan(summary.all.share!);
    expect(results.filter((one) => one.result === 'episode-only')).toEqual([]);
  });

  it('lists a job that dispatch left out, and a record of something that never was', async () => {
    const [out] = truth.keys();
    const ghost = `${new Date(Math.round(truth[out!]!.loadTransferTime + 3 * 3_600_000)).toISOString()},T-131,drop`;
    const results = await matched(workFile('some.csv', [out!], [ghost]), '--window-minutes', '10');
    const unrecorded = results.flatMap((one) => (one.result === 'episode-only' ? [one.episode] : []));
    expect(unrecorded).toHaveLength(1);
    expect(Math.abs(Date.parse(unrecorded[0]!.loadTransferTime) - truth[out!]!.loadTransferTime)).toBeLessThan(15_000);
    const ghosts = results.flatMap((one) =>
      one.result === 'record-only' && one.record.line > truth.length ? [one] : [],
    );
    expect(ghosts.map(({ record }) => record.vehicleId)).toEqual(['T-131']);
  });

  it('prints a page of 80 columns with its cautions', async () => {
    const work = workFile('page.csv', [1]);
    const ran = await gearhold(['match', '--work', work, ...fleet, readings]);
    expect(ran.status).toBe(0);
    // The names of the files may be longer than any page.
    const body = ran.stdout.slice(ran.stdout.indexOf('━'));
    expect(Math.max(...body.split('\n').map((line) => line.length))).toBeLessThanOrEqual(80);
    expect(body).toMatch(/^Of \d+ records of dispatch that the readings cover, \d+ were found:/m);
    expect(body.replace(/\s+/g, ' ')).toContain('the only recall that a fleet can measure by itself');
    expect(ran.stdout).toMatch(/never called done\.$/m);
    expect(ran.stderr).toMatch(/^work file {9}\d+ records$/m);
  });

  it('is part of the report where it is asked for, and changes nothing else there', async () => {
    const bare = await gearhold(['report', ...fleet, readings]);
    const work = workFile('report.csv', [1]);
    const ran = await gearhold(['report', '--work', work, ...fleet, readings]);
    const begin = ran.stdout.indexOf('Records of dispatch\n');
    expect(begin).toBeGreaterThan(0);
    expect(bare.stdout.startsWith(ran.stdout.slice(0, begin))).toBe(true);
    expect(bare.stdout).not.toContain('dispatch');
  });

  it.each([
    [['--work', 'missing.csv'], /work file missing\.csv cannot be read: there is no such file/],
    [[], /required option '--work <file>' not specified/],
    [['--work', 'x.csv', '--window-minutes', '0'], /Expected a number of minutes above 0, at most 1440/],
  ])('ends in status 2 and one sentence: %j', async (options, sentence) => {
    const ran = await gearhold(['match', ...options, readings]);
    expect(ran).toMatchObject({ status: 2, stdout: '' });
    expect(ran.stderr).toMatch(sentence);
    expect(ran.stderr.trimEnd().split('\n')).toHaveLength(1);
  });
});
