import { fileURLToPath } from 'node:url';
import { levelsSchema } from '@gearhold/schemas';
import { beforeAll, describe, expect, it } from 'vitest';
import { testFolder } from './folder.ts';
import { gearhold, objects, type Ran } from './spawn.ts';

const folder = testFolder();
const demo = (name: string) => fileURLToPath(new URL(`../../fixtures/demo/${name}`, import.meta.url));
const readings = demo('readings.csv.gz');
const fleet = ['--vehicles', demo('vehicles.json'), '--sites', demo('sites.json')];
let page: Ran;
let lines: Ran;

beforeAll(async () => {
  page = await gearhold(['levels', ...fleet, readings]);
  lines = await gearhold(['levels', '--ndjson', ...fleet, readings]);
});

describe('gearhold levels', () => {
  it('prints a page of 80 columns: a truck an entry, in the order of their ids', () => {
    expect(page.status).toBe(0);
    expect(Math.max(...page.stdout.split('\n').map((line) => line.length))).toBeLessThanOrEqual(80);
    const trucks = [...page.stdout.matchAll(/│ Truck (\S+)/g)].map((match) => match[1]);
    expect(trucks).toEqual(['T-104', 'T-117', 'T-122', 'T-131', 'T-140', 'T-152']);
    expect(page.stdout).toMatch(/never called done\.$/m);
    expect(page.stderr).toMatch(/^rows read {9}47,371 from 1 file/m);
  });

  it('gives the same as data, a truck a line, as its schema has it', () => {
    const trucks = objects(lines.stdout).map((line) => levelsSchema.parse(line));
    expect(trucks.map(({ vehicleId }) => vehicleId)).toEqual(['T-104', 'T-117', 'T-122', 'T-131', 'T-140', 'T-152']);
    const [first, , , slow, , steel] = trucks;
    expect(first!.levels.bobtail).toMatchObject({ basis: 'learned' });
    expect(first!.levels.loaded).toEqual({ value: 420, basis: 'stated' });
    expect(slow!.signals.find(({ signal }) => signal === 'speedKph')).toMatchObject({
      mode: 'periodic',
      everySeconds: 5,
    });
    expect(steel).toMatchObject({ loadSignal: null, driveSuspension: 'spring', episodes: {} });
    expect(new Set(steel!.checks.map(({ reach }) => reach))).toEqual(new Set(['never-judged']));
  });

  it('finds the episodes that analyze finds', async () => {
    const episodes = objects((await gearhold(['analyze', ...fleet, '--kinds', 'all', readings])).stdout);
    for (const truck of objects(lines.stdout).map((line) => levelsSchema.parse(line))) {
      const own = episodes.filter(({ vehicleId }) => vehicleId === truck.vehicleId);
      const kinds = Map.groupBy(own, ({ kind }) => String(kind));
      expect(truck.episodes).toEqual(Object.fromEntries([...kinds].map(([kind, group]) => [kind, group.length])));
    }
  });

  it('gives the same for two files as for one', async () => {
    const twice = await gearhold([
      'levels',
      '--ndjson',
      ...fleet,
      readings,
      folder.write('none.csv', 'time,vehicleId\n'),
    ]);
    expect(twice.stdout).toBe(lines.stdout);
  });

  it('says what would stand there where nothing was read, and takes no kinds', async () => {
    const none = await gearhold(['levels', folder.write('none.csv', 'time,vehicleId\n')]);
    expect(none).toMatchObject({ status: 0 });
    expect(none.stdout).toContain('nothing was learned');
    const kinds = await gearhold(['levels', '--kinds', 'all', readings]);
    expect(kinds).toMatchObject({ status: 2, stdout: '' });
  });
});
