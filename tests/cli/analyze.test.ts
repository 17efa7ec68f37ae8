import { existsSync, mkdirSync, readdirSync, readFileSync } from 'node:fs';
import { gzipSync } from 'node:zlib';
import { beforeAll, describe, expect, it } from 'vitest';
import { writeReadings } from '../bench/readings.ts';
import { testFolder } from './folder.ts';
import { gearhold, objects } from './spawn.ts';

const folder = testFolder();
const csv = folder.at('day.csv');
let expected = '';

/** CSV rows as NDJSON lines. */
function toObjects(text: string): string[] {
  const [header = '', ...rows] = text.trimEnd().split('\n');
  const names = header.split(',');
  return rows.map((row) => {
    const cells = row.split(',');
    const entries = names.map((name, i) => [name, i < 2 ? cells[i] : Number(cells[i])]);
    return JSON.stringify(Object.fromEntries(entries));
  });
}

beforeAll(async () => {
  await writeReadings(csv, 9000, 4);
  const ran = await gearhold(['analyze', csv]);
  expect(ran.status).toBe(0);
  expected = ran.stdout;
});

describe('gearhold analyze', () => {
  it('prints one episode a line, by load transfer time, then vehicle, and nothing else', () => {
    const episodes = objects(expected);
    expect(episodes.length).toBeGreaterThan(4);
    const keys = episodes.map((episode) => `${episode.loadTransferTime} ${episode.vehicleId}`);
    expect(keys).toEqual(keys.toSorted());
    for (const episode of episodes) {
      expect(['coupling', 'uncoupling']).toContain(episode.kind);
      expect(episode.checks).not.toEqual([]);
    }
    expect(new Set(episodes.map((episode) => episode.episodeId)).size).toBe(episodes.length);
  });

  it('sums up on standard error, without a progress bar where that is no terminal', async () => {
    const { stderr } = await gearhold(['analyze', csv]);
    expect(stderr).toMatch(/^rows read {9}9,000 from 1 file, [\d,]+ rows\/s$/m);
    expect(stderr).toMatch(/^rows rejected {5}0$/m);
    expect(stderr).toMatch(/^vehicles {10}4$/m);
    expect(stderr).toMatch(/^episodes {10}\d+ \(\d+ couplings, \d+ uncouplings\)$/m);
    expect(stderr).toMatch(/^anomalies {9}\d+$/m);
    expect(stderr).not.toContain('\r');
    expect(stderr).not.toContain('\u001b');
  });

  it('gives the same bytes from gzip, standard input, NDJSON and a JSON array', async () => {
    const text = readFileSync(csv, 'utf8');
    const lines = toObjects(text);
    const files = [
      folder.write('day.csv.gz', gzipSync(text)),
      folder.write('day.ndjson', `${lines.join('\n')}\n`),
      folder.write('day.jsonl.gz', gzipSync(lines.join('\n'))),
      folder.write('day.json', `[${lines.join(',\n')}]`),
    ];
    for (const file of files) expect((await gearhold(['analyze', file])).stdout).toBe(expected);
    expect((await gearhold(['analyze', '-'], { stdin: text })).stdout).toBe(expected);
    expect((await gearhold(['analyze', '--format', 'csv', '-'], { stdin: gzipSync(text) })).stdout).toBe(expected);
    expect((await gearhold(['analyze', '-'], { stdin: lines.join('\n') })).stdout).toBe(expected);
  });

  it('takes --format for every file, whatever its name says', async () => {
    const path = folder.write('readings.txt', readFileSync(csv));
    expect((await gearhold(['analyze', path])).status).toBe(2);
    expect((await gearhold(['analyze', '--format', 'csv', path])).stdout).toBe(expected);
  });

  it('gives the same bytes however the rows are spread over files, and from the same file twice', async () => {
    const [header, ...rows] = readFileSync(csv, 'utf8').trimEnd().split('\n');
    const part = (name: string, keep: (row: string, index: number) => boolean) =>
      folder.write(name, `${[header, ...rows.filter(keep)].join('\n')}\n`);
    const odd = part('odd.csv', (_, i) => i % 3 === 1);
    const rest = folder.write('rest.csv.gz', gzipSync(readFileSync(part('rest.csv', (_, i) => i % 3 !== 1))));
    const early = part('early.csv', (_, i) => i < 5000);
    const late = part('late.csv', (_, i) => i >= 5000);
    for (const files of [
      [odd, rest],
      [rest, odd],
      [late, early],
      [csv, csv],
      [odd, csv],
    ]) {
      expect((await gearhold(['analyze', ...files])).stdout).toBe(expected);
    }
    const truckAfterTruck = folder.write('trucks.csv', [header, ...rows.toSorted(byVehicle)].join('\n'));
    expect((await gearhold(['analyze', truckAfterTruck])).stdout).toBe(expected);
  });

  it('writes --out whole or not at all, and nothing to standard output', async () => {
    const out = folder.at('episodes.ndjson');
    const ran = await gearhold(['analyze', '--out', out, csv]);
    expect(ran).toMatchObject({ status: 0, stdout: '' });
    expect(readFileSync(out, 'utf8')).toBe(expected);
    folder.write('broken.json', '{');
    const failed = await gearhold([
      'analyze',
      '--policy',
      folder.at('broken.json'),
      '--out',
      folder.at('no.ndjson'),
      csv,
    ]);
    expect(failed.status).toBe(2);
    expect(existsSync(folder.at('no.ndjson'))).toBe(false);
    expect(readdirSync(folder.path).filter((name) => name.includes('.part'))).toEqual([]);
  });

  it('refuses to write over what it reads', async () => {
    const before = readFileSync(csv);
    for (const option of ['--out', '--rejects']) {
      const ran = await gearhold(['analyze', option, csv, csv]);
      expect(ran.status).toBe(2);
      expect(ran.stderr).toBe(`gearhold: ${option} ${csv} would overwrite ${csv}: expected another name.\n`);
    }
    expect(readFileSync(csv).equals(before)).toBe(true);
  });

  it('keeps rejected rows whole, with file, line and reason', async () => {
    const text = 'time,vehicleId,speedKph\n2026-03-02T05:00:00Z,T-1,3\nyesterday,"T,1",4\n2026-03-02T05:00:01Z,,5\n';
    const input = folder.write('some-bad.csv', text);
    const rejects = folder.at('rejects.ndjson');
    const ran = await gearhold(['analyze', '--rejects', rejects, input]);
    expect(ran.status).toBe(0);
    expect(objects(readFileSync(rejects, 'utf8'))).toEqual([
      { file: input, line: 3, reason: 'time', row: 'yesterday,"T,1",4' },
      { file: input, line: 4, reason: 'vehicleId', row: '2026-03-02T05:00:01Z,,5' },
    ]);
    expect(ran.stderr).toMatch(/^rows rejected {5}2$/m);
  });

  it('rejects what comes later than --late-seconds and counts it', async () => {
    const row = (second: number) => `2026-03-02T05:00:${String(second).padStart(2, '0')}Z,T-1,3\n`;
    const text = `time,vehicleId,speedKph\n${[0, 1, 20, 9, 21].map(row).join('')}`;
    const input = folder.write('late-row.csv', text);
    expect((await gearhold(['analyze', input])).stderr).toMatch(/^rows rejected {5}0$/m);
    expect((await gearhold(['analyze', '--late-seconds', '10', input])).stderr).toMatch(/^ {2}late {12}1: /m);
    expect((await gearhold(['analyze', '--late-seconds', '-1', input])).status).toBe(2);
  });

  it('names columns that it does not know once', async () => {
    const text = 'time,vehicleId,speedKph,mood\n2026-03-02T05:00:00Z,T-1,3,4\n2026-03-02T05:00:01Z,T-1,3,4\n';
    const { stderr } = await gearhold(['analyze', folder.write('unknown.csv', text)]);
    expect(stderr.match(/mood/g)).toHaveLength(1);
  });

  it('ends quietly where its reader has read enough', async () => {
    const ran = await gearhold(['analyze', csv], { watch: (child) => child.stdout?.destroy() });
    expect(ran.stderr).not.toMatch(/gearhold:|EPIPE|at /);
    expect(ran.status).toBe(0);
  });

  it('leaves nothing behind where it is interrupted', async () => {
    const temporary = folder.at('temporary');
    mkdirSync(temporary);
    const out = folder.at('interrupted.ndjson');
    const ran = await gearhold(['analyze', '--out', out, '--format', 'csv', '-', csv], {
      env: { TMPDIR: temporary },
      stdin: 'time,vehicleId\n',
      holdStdin: true,
      watch: (child) => whenBegun(folder.at(`.interrupted.ndjson.${child.pid}.part`), () => child.kill('SIGTERM')),
    });
    expect(ran.status).toBe(143);
    expect(ran.stdout).toBe('');
    expect(existsSync(out)).toBe(false);
    expect(readdirSync(temporary)).toEqual([]);
    expect(readdirSync(folder.path).filter((name) => name.includes('.part'))).toEqual([]);
  });

  it('takes back the policy that policy show prints, and changes nothing by it', async () => {
    const shown = await gearhold(['policy', 'show']);
    expect(shown.status).toBe(0);
    expect(JSON.parse(shown.stdout)).toHaveProperty(['checks', 'gear-hold-pause', 'minSeconds'], 30);
    const policy = folder.write('policy.json', shown.stdout);
    expect((await gearhold(['analyze', '--policy', policy, csv])).stdout).toBe(expected);
  });

  it('accuses nobody on a day that was driven as the policy asks', async () => {
    const day = folder.at('sixty-trucks.csv');
    await writeReadings(day, 120_000, 60);
    const { stdout } = await gearhold(['analyze', '--kinds', 'all', day]);
    const checks = objects(stdout).flatMap((episode) => episode.checks as { check: string; outcome: string }[]);
    expect(checks.length).toBeGreaterThan(300);
    expect(checks.filter(({ outcome }) => outcome === 'missed')).toEqual([]);
  });

  it('prints attempts and lost loads only with --kinds all', async () => {
    const all = await gearhold(['analyze', '--kinds', 'all', csv]);
    const main = objects(all.stdout).filter(({ kind }) => kind === 'coupling' || kind === 'uncoupling');
    expect(main).toEqual(objects(expected));
    expect((await gearhold(['analyze', '--kinds', 'some', csv])).status).toBe(2);
  });
});

/** Waits for the unfinished output to appear: the program is at work then, however slow the machine. */
function whenBegun(path: string, then: () => void): void {
  const poll = setInterval(() => {
    if (!existsSync(path)) return;
    clearInterval(poll);
    then();
  }, 20);
}

function byVehicle(a: string, b: string): number {
  const [left = '', right = ''] = [a.split(',')[1], b.split(',')[1]];
  return left < right ? -1 : left > right ? 1 : 0;
}
