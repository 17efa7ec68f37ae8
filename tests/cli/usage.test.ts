import { describe, expect, it } from 'vitest';
import { testFolder } from './folder.ts';
import { gearhold } from './spawn.ts';

const folder = testFolder();
const input = folder.write('readings.csv', 'time,vehicleId\n2026-03-02T05:00:00Z,T-1\n');

describe('a mistake in a companion file ends in exit status 2, the path in the file and what was expected', () => {
  it.each([
    ['--policy', '{ "version": 2 }', 'policy file FILE, at version: expected 1, but found 2.'],
    [
      '--policy',
      '{ "version": 1, "checks": { "gear-hold-pause": { "minSeconds": -1 } } }',
      'policy file FILE, at checks.gear-hold-pause.minSeconds: expected a number of at least 0, but found -1.',
    ],
    ['--vehicles', '{}', 'vehicles file FILE, at the top: expected array, found an object.'],
    [
      '--vehicles',
      '[{ "vehicleId": "T-1" }, { "vehicleId": "T-2", "levels": { "bobtailKpa": "55" } }]',
      'vehicles file FILE, at [1].levels.bobtailKpa: expected number, found "55".',
    ],
    [
      '--sites',
      '[{ "siteId": "north", "zone": "America/Nowhere", "circle": { "latitude": 1, "longitude": 2, "radiusM": 3 } }]',
      'sites file FILE, at [0].zone: expected an IANA time zone, such as America/Chicago, found "America/Nowhere".',
    ],
    [
      '--profile',
      '{ "time": { "column": "t" }, "vehicleId": { "column": "v" }, "signals": { "speedKph": { "from": "s", "unit": "knots" } } }',
      'source profile FILE, at signals.speedKph.unit: expected one of km/h, m/s, mph, kn, found "knots".',
    ],
    ['--vehicles', '[{ "vehicleId": "T-1" }', "vehicles file FILE is not JSON, line 1 column 24: expected ',' or ']'"],
    ['--sites', '', 'sites file FILE is empty: expected a JSON file.'],
  ])('%s %s', async (option, content, sentence) => {
    const file = folder.write('companion.json', content);
    const ran = await gearhold(['analyze', option, file, input]);
    expect(ran.stderr).toContain(`gearhold: ${sentence.replace('FILE', file)}`);
    expect(ran.stderr.trimEnd().split('\n')).toHaveLength(1);
    expect(ran).toMatchObject({ status: 2, stdout: '' });
  });

  it('a file that is not there', async () => {
    for (const option of ['--policy', '--vehicles', '--sites', '--profile']) {
      const ran = await gearhold(['analyze', option, folder.at('missing.json'), input]);
      expect(ran.stderr).toMatch(/missing\.json cannot be read: there is no such file or folder\.\n$/);
      expect(ran.status).toBe(2);
    }
  });
});

describe('a mistake on the command line ends in exit status 2 and one sentence', () => {
  it.each([
    [['analyze'], /missing required argument 'file'/],
    [['analyse', input], /unknown command 'analyse' \(Did you mean analyze/],
    [['analyze', '--late-seconds', 'soon', input], /Expected a number of seconds, 0 or more/],
    [['analyze', '--kinds', 'odd', input], /Allowed choices are main, all/],
    [['analyze', '--format', 'xml', input], /Allowed choices are csv, ndjson, json/],
    [['analyze', '--speed', input], /unknown option '--speed'/],
    [['analyze', 'readings.txt'], /the format of readings\.txt cannot be told from its name/],
    [['analyze', '-', '-'], /standard input \(-\) can be read only once/],
    [['analyze', '--out', '/nowhere/out.ndjson', input], /output file \/nowhere\/out\.ndjson cannot be written/],
    [['analyze', '--rejects', folder.path, input], /rejects file .* cannot be written: it is a folder/],
    [['report', '--units', 'imperial', input], /Allowed choices are metric, us/],
  ])('%j', async (args, sentence) => {
    const ran = await gearhold(args);
    expect(ran.stderr).toMatch(sentence);
    expect(ran.stderr).toMatch(/^gearhold: .*\n$/);
    expect(ran).toMatchObject({ status: 2, stdout: '' });
  });
});

describe('help', () => {
  it.each([
    [['--help'], /Start with\n/],
    [['analyze', '--help'], /--late-seconds <n>.*What comes out\n.*Exit status\n {2}0 {2}done\n.*Examples\n/s],
    [['report', '--help'], /--units <units>.*Exit status\n.*Examples\n/s],
    [['policy', 'show', '--help'], /Example\n/],
  ])('%j goes to standard output', async (args, expected) => {
    const ran = await gearhold(args);
    expect(ran.stdout).toMatch(expected);
    expect(ran).toMatchObject({ status: 0, stderr: '' });
  });
});

it('a source profile reads somebody else’s columns', async () => {
  const profile = folder.write(
    'profile.json',
    JSON.stringify({
      layout: 'narrow',
      delimiter: ';',
      time: { column: 'Stamp', format: 'yyyy-MM-dd HH:mm:ss', zone: 'America/Chicago' },
      vehicleId: { column: 'Unit' },
      signal: { column: 'Channel' },
      value: { column: 'Reading' },
      signals: { suspensionKpa: { from: 'AIRSPRING', unit: 'psi' } },
    }),
  );
  const feed = folder.write(
    'feed.csv',
    'Stamp;Unit;Channel;Reading\n2026-03-02 05:00:00;T-1;AIRSPRING;60\n2026-03-08 02:30:00;T-1;AIRSPRING;60\n',
  );
  const ran = await gearhold(['analyze', '--profile', profile, feed]);
  expect(ran.status).toBe(0);
  expect(ran.stderr).toMatch(/^ {2}time-skipped +1: its local time never happens/m);
});
