/** The nightly run as a timer starts it, on an embedded store of its own. What a night does is tested in tests/faults and beside its parts. */
import { existsSync, mkdirSync, readFileSync, utimesSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { gunzipSync } from 'node:zlib';
import { openFolder } from '@gearhold/store';
import { expect, it } from 'vitest';
import { testFolder } from './folder.ts';
import { gearhold, objects } from './spawn.ts';

const demo = fileURLToPath(new URL('../../fixtures/demo/', import.meta.url));
const folder = testFolder();
const store = folder.at('store');
const inbox = folder.at('inbox');
mkdirSync(inbox);
const slow = 300_000;

const night = ['nightly', '--store', store, '--inbox', inbox, '--zone', 'America/Chicago', '--day', '2026-03-02'];
const [header, ...rows] = gunzipSync(readFileSync(join(demo, 'readings.csv.gz')))
  .toString('utf8')
  .trimEnd()
  .split('\n');

/** Puts rows of one truck of the demo fleet into the inbox, left alone for a while. */
function put(name: string, vehicleId: string, more: readonly string[] = []): string {
  const path = join(inbox, name);
  const mine = rows.filter((row) => row.split(',')[1] === vehicleId);
  writeFileSync(path, `${[header, ...mine, ...more].join('\n')}\n`);
  utimesSync(path, new Date(), new Date(Date.now() - 300_000));
  return path;
}

it(
  'says what it would do and makes no store',
  async () => {
    const path = put('first.csv', 'T-131');
    const fresh = join(inbox, 'fresh.csv');
    writeFileSync(fresh, 'time,vehicleId\n');
    const ran = await gearhold([...night, '--dry-run']);
    expect(ran).toMatchObject({ status: 0, stderr: '' });
    expect(ran.stdout).toContain(`take         1: ${path}`);
    expect(ran.stdout).toContain(`not at rest  1: ${fresh}`);
    expect(ran.stdout).toContain('2026-03-02T06:00:00.000Z to 2026-03-03T06:00:00.000Z, 24 h');
    expect(existsSync(store)).toBe(false);
  },
  slow,
);

it(
  'takes what is at rest, finds the episodes of the day, and finds nothing to do when it runs again',
  async () => {
    const first = await gearhold([...night, '--log', 'info']);
    expect(first.status).toBe(0);
    expect(first.stdout).toMatch(/^files {8}1 taken\n/);
    const found = Number(/(\d+) episodes?, \d+ anomal/.exec(first.stdout)?.[1]);
    expect(found).toBeGreaterThan(0);
    expect(objects(first.stderr).map(({ msg }) => msg)).toContain('night ends');
    const again = await gearhold([...night, '--log', 'warn']);
    expect(again).toMatchObject({ status: 0, stderr: '' });
    expect(again.stdout).toMatch(/files {8}0 taken, 1 taken before/);
    expect(again.stdout).toContain('analysis     nothing was due');
    const listed = await gearhold([
      'anomalies',
      '--store',
      store,
      '--outcome',
      'met',
      'missed',
      'undetermined',
      '--format',
      'ndjson',
    ]);
    expect(new Set(objects(listed.stdout).map(({ episodeId }) => episodeId)).size).toBe(found);
  },
  slow,
);

it(
  'gives an episode to the day of its load transfer, also where it ended on the next one',
  async () => {
    const every = ['--outcome', 'met', 'missed', 'undetermined', 'not-applicable'];
    const listed = await gearhold(['anomalies', '--store', store, ...every, '--format', 'ndjson']);
    const episodes = [...Map.groupBy(objects(listed.stdout), ({ episodeId }) => episodeId).values()].map(
      ([one]) => one!,
    );
    const times = episodes.map((episode) => [
      Date.parse(String(episode.loadTransferTime)),
      Date.parse(String(episode.endTime)),
    ]);
    const minute = 60_000;
    // A zone whose midnight falls between the load transfer and the end of one of them.
    const split = times
      .map(([transfer]) => Math.ceil(transfer! / minute) * minute)
      .find((at, i) => times[i]![1]! > at)!;
    const east = ((24 * 60 - (Math.floor(split / minute) % (24 * 60)) + 12 * 60) % (24 * 60)) - 12 * 60;
    const two = (figure: number) => String(figure).padStart(2, '0');
    const zone = `${east < 0 ? '-' : '+'}${two(Math.floor(Math.abs(east) / 60))}:${two(Math.abs(east) % 60)}`;
    const dayAt = (ms: number) => new Date(ms + east * minute).toISOString().slice(0, 10);
    const [first, second] = [dayAt(split - 1), dayAt(split)];
    expect(first < second).toBe(true);
    const ran = await gearhold([
      ...night.slice(0, 5),
      '--zone',
      zone,
      '--from',
      first,
      '--to',
      second,
      '--log',
      'error',
    ]);
    const told = [...ran.stdout.matchAll(/(\d+) episodes?, \d+ anomal/g)].map((match) => Number(match[1]));
    expect(told).toEqual([times.filter(([at]) => at! < split).length, times.filter(([at]) => at! >= split).length]);
    expect(told[0]).toBeGreaterThan(0);
  },
  slow,
);

it(
  'ends with 10 where somebody should look, and says at what',
  async () => {
    put('second.csv', 'T-152', ['soon,T-152']);
    const ran = await gearhold([...night, '--log', 'error']);
    expect(ran.status).toBe(10);
    expect(ran.stdout).toMatch(/Somebody should look:\n- .*second\.csv: 1 of \d+ rows were rejected/);
    const late = await gearhold([...night.slice(0, -1), '2026-03-04', '--log', 'error']);
    expect(late.status).toBe(10);
    expect(late.stdout).toContain('no reading of 2026-03-04 has come');
  },
  slow,
);

it(
  'ends with 11 while another process has the store, and with 2 for what it cannot use',
  async () => {
    const engine = await openFolder(store);
    try {
      const ran = await gearhold([...night, '--log', 'error']);
      expect(ran).toMatchObject({ status: 11, stdout: '' });
      expect(ran.stderr).toContain(`is open in process ${process.pid}`);
    } finally {
      await engine.close();
    }
    const wrong = await gearhold(['nightly', '--zone', 'America/Chicago', '--day', '2026-02-30']);
    expect(wrong).toMatchObject({ status: 2, stdout: '' });
    expect(wrong.stderr).toMatch(/^gearhold: .*Expected a day of the calendar/);
  },
  slow,
);
