import { createHash } from 'node:crypto';
import { closeSync, openSync, readFileSync, writeSync } from 'node:fs';
import { gzipSync } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { testFolder } from './folder.ts';
import { gearhold, objects, type Ran } from './spawn.ts';

const folder = testFolder();
const header = 'time,vehicleId,speedKph,suspensionKpa\n';

function rows(count: number, from = 0): string {
  const row = (second: number) => `${new Date(Date.UTC(2026, 2, 2, 5, 0, second)).toISOString()},T-1,40,300\n`;
  return Array.from({ length: count }, (_, i) => row(from + i)).join('');
}

/** Bytes that look random and are the same every time. */
function noise(length: number): Buffer {
  const blocks: Buffer[] = [];
  for (let size = 0; size < length; size += 32) blocks.push(createHash('sha256').update(`${size}`).digest());
  return Buffer.concat(blocks).subarray(0, length);
}

/** A file with 100 MB of one letter between two texts. */
function writeLong(name: string, before: string, after: string): string {
  const path = folder.at(name);
  const file = openSync(path, 'w');
  writeSync(file, before);
  const block = Buffer.alloc(1_000_000, 'x');
  for (let i = 0; i < 100; i++) writeSync(file, block);
  writeSync(file, after);
  closeSync(file);
  return path;
}

/** What must hold of every run, whatever the input: sentences, no trace, and standard output that a program can read. */
function holdsUp(ran: Ran, status: number): void {
  expect(ran.signal).toBeNull();
  expect(ran.stderr).not.toMatch(/^\s+at /m);
  expect(ran.stderr).not.toMatch(/Error\b|undefined|\[object/);
  for (const episode of objects(ran.stdout)) expect(episode).toHaveProperty('episodeId');
  expect(ran.status).toBe(status);
}

async function analyze(path: string, status: number, sentence: RegExp): Promise<Ran> {
  const ran = await gearhold(['analyze', path]);
  holdsUp(ran, status);
  expect(ran.stderr).toMatch(sentence);
  return ran;
}

describe('input that cannot be read ends in exit status 3 and a sentence', () => {
  it.each<[string, string, Uint8Array | string, RegExp]>([
    ['random bytes', 'noise.csv', noise(300_000), /^gearhold: .*noise\.csv: is not text/m],
    ['random bytes named as gzip', 'noise.csv.gz', noise(3000), /^gearhold: .*does not begin as gzip data do/m],
    ['text named as gzip', 'text.csv.gz', header + rows(9), /^gearhold: .*does not begin as gzip data do/m],
    ['UTF-16', 'wide.csv', Buffer.from(`\ufeff${header}${rows(9)}`, 'utf16le'), /^gearhold: .*save it as UTF-8/m],
    ['UTF-16 without a mark', 'wide-2.csv', Buffer.from(header + rows(9), 'utf16le'), /^gearhold: .*save it as UTF-8/m],
    [
      'a header of a million columns',
      'wide-header.csv',
      `${'c,'.repeat(1e6)}c\n${rows(3)}`,
      /^gearhold: .*header row/m,
    ],
    ['duplicate columns', 'twice.csv', `time,vehicleId,gear,gear\n`, /^gearhold: .*two columns named "gear"/m],
    ['an empty file', 'empty.csv', '', /^gearhold: .*is empty/m],
    ['an object where an array belongs', 'object.json', '{"time":1}', /^gearhold: .*opening bracket/m],
    ['a hundred thousand open brackets', 'deep.json', '['.repeat(100_000), /^gearhold: .*no closing bracket/m],
    ['rows without the columns that matter', 'other.csv', 'a,b\n1,2\n', /^gearhold: no row of the input was usable/m],
  ])('%s', async (_, name, content, sentence) => {
    const ran = await analyze(folder.write(name, content), 3, sentence);
    expect(ran.stdout).toBe('');
  });

  it('gzip that was cut off: what came before is used', async () => {
    const whole = gzipSync(header + rows(3000));
    const path = folder.write('cut.csv.gz', whole.subarray(0, whole.length - 2000));
    const ran = await analyze(path, 3, /^gearhold: .*the gzip data stop before their end/m);
    expect(Number(/^rows read +([\d,]+)/m.exec(ran.stderr)?.[1]?.replace(',', ''))).toBeGreaterThan(100);
  });

  it.each([
    ['a byte in the middle that is wrong', (gz: Buffer) => gz.fill(0xff, gz.length - 9000, gz.length - 8900)],
    ['a checksum that is wrong', (gz: Buffer) => gz.fill(0, gz.length - 8, gz.length - 4)],
    ['something else after it', (gz: Buffer) => Buffer.concat([gz, Buffer.from('something else')])],
  ])('gzip with %s: what came before is used', async (name, damage) => {
    const path = folder.write(`${name}.csv.gz`, damage(gzipSync(header + rows(20_000))));
    const ran = await analyze(path, 3, /^gearhold: .*the gzip data are damaged/m);
    expect(Number(/^rows read +([\d,]+)/m.exec(ran.stderr)?.[1]?.replace(',', ''))).toBeGreaterThan(100);
  });

  it('an array that was cut off: what came before is used', async () => {
    const text = '[{"time":"2026-03-02T05:00:00Z","vehicleId":"T-1"},{"ti';
    const ran = await analyze(folder.write('cut.json', text), 3, /^gearhold: .*no closing bracket/m);
    expect(ran.stderr).toMatch(/^vehicles +1$/m);
  });

  it('a file that is not there, or is a folder', async () => {
    await analyze(folder.at('missing.csv'), 3, /^gearhold: .*missing\.csv.*there is no such file/m);
    const ran = await gearhold(['analyze', '--format', 'csv', folder.path]);
    holdsUp(ran, 3);
    expect(ran.stderr).toMatch(/it is a folder/);
  });

  it('one of several files: the others are still analysed', async () => {
    const good = folder.write('good.csv', header + rows(5));
    const ran = await gearhold(['analyze', good, folder.at('missing.csv')]);
    holdsUp(ran, 3);
    expect(ran.stderr).toMatch(/^rows read +5 from 2 files/m);
  });
});

describe('bad rows are counted and the rest is read', () => {
  it.each<[string, string, Uint8Array | string, RegExp]>([
    ['a header and nothing else', 'header.csv', header, /^rows read +0 /m],
    ['an empty array', 'empty.json', '[]', /^rows read +0 /m],
    ['a row of a million columns', 'wide-row.csv', `${header}${'1,'.repeat(1e6)}\n${rows(5)}`, /^ {2}too-long +1: /m],
    ['a row with other columns', 'ragged.csv', `${header}1,2\n${rows(5)}`, /^ {2}columns +1: /m],
    ['NaN and Infinity', 'nan.csv', `${header}2026-03-02T05:00:00Z,T-1,NaN,Infinity\n`, /speedKph 1, suspensionKpa 1/],
    ['a line break in an id', 'id.csv', `${header}2026-03-02T05:00:00Z,"T\n1",1,2\n${rows(5)}`, /^ {2}vehicleId +1: /m],
    ['a NUL in the middle', 'nul.csv', `${header}${rows(900)}\0\0${rows(5, 900)}`, /^ {2}time +1: /m],
    [
      'another encoding',
      'latin.csv',
      Buffer.from(`${header}${rows(5).replace('T-1', 'Ü')}`, 'latin1'),
      /vehicleId +1: /m,
    ],
    ['an open quote', 'quote.csv', `${header}2026-03-02T05:00:00Z,"T-1,1,2\n${rows(5)}`, /^ {2}quotes +1: /m],
    ['deeply nested NDJSON', 'deep.ndjson', `${'{"a":'.repeat(200_000)}\n${oneObject('T-1')}`, /^ {2}not-json +1: /m],
    ['values of every type', 'types.ndjson', `null\n5\n[]\n"x"\n{}\n${oneObject('T-1')}`, /^ {2}not-json +4: /m],
    ['a vehicle called __proto__', 'proto.ndjson', oneObject('__proto__'), /^vehicles +1$/m],
  ])('%s', async (_, name, content, sentence) => {
    await analyze(folder.write(name, content), 0, sentence);
  });

  it('clocks that jump: every stray row is told by its reason, and no episode comes of them', async () => {
    const stray = (time: string) => `${time},T-1,1,2\n`;
    const text = [
      header,
      rows(20),
      stray('2036-03-02T05:00:00Z'),
      rows(20, 20),
      stray('1999-01-01T00:00:00Z'),
      rows(20, 40),
      stray('9999-12-31T23:59:59Z'),
    ];
    const rejects = folder.at('clock-rejects.ndjson');
    const path = folder.write('clock.csv', text.join(''));
    const ran = await gearhold(['analyze', '--kinds', 'all', '--rejects', rejects, path]);
    holdsUp(ran, 0);
    expect(ran.stderr).toMatch(/^rows read +63 /m);
    expect(ran.stderr).toMatch(/^ {2}clock +1: /m);
    expect(ran.stderr).toMatch(/^ {2}late +1: /m);
    expect(ran.stderr).toMatch(/^silences +1 /m);
    expect(ran.stdout).toBe('');
    const kept = objects(readFileSync(rejects, 'utf8'));
    expect(kept.map(({ line, reason }) => [line, reason]).sort()).toEqual([
      [22, 'clock'],
      [43, 'late'],
    ]);
  });

  it('a line of 100 MB, in bounded memory', async () => {
    const time = '"time":"2026-03-02T05:00:00Z","vehicleId":"T-1"';
    const inputs: [string, number, RegExp][] = [
      [writeLong('long.csv', header + rows(5), `\n${rows(5, 10)}`), 0, /^ {2}too-long +1: /m],
      [writeLong('long-first.csv', '', '\n'), 3, /header row of more than 1 MiB/],
      [writeLong('long.ndjson', `{${time},"x":"`, `"}\n{${time}}\n`), 0, /^ {2}too-long +1: /m],
      [writeLong('long.json', `[{${time},"x":"`, `"},{${time}}]`), 0, /^ {2}too-long +1: /m],
    ];
    for (const [path, status, sentence] of inputs) {
      const peakFile = folder.at('peak');
      const rejects = folder.at('long-rejects.ndjson');
      const ran = await gearhold(['analyze', '--rejects', rejects, path], { peakFile });
      holdsUp(ran, status);
      expect(ran.stderr).toMatch(sentence);
      expect(Number(readFileSync(peakFile, 'utf8'))).toBeLessThan(400_000);
      expect(readFileSync(rejects).length).toBeLessThan(1_000_000);
    }
  });

  it('a column of row numbers taken for vehicle ids, in bounded memory', async () => {
    const peakFile = folder.at('peak');
    const row = (_: unknown, i: number) => `2026-03-02T05:00:00Z,${i},40,300\n`;
    const path = folder.write('numbers.csv', header + Array.from({ length: 250_000 }, row).join(''));
    const ran = await gearhold(['analyze', path], { peakFile });
    holdsUp(ran, 0);
    expect(ran.stderr).toMatch(/^ {2}vehicleId +150,000: /m);
    expect(ran.stderr).toMatch(/numbers\.csv: names more vehicles than any fleet has.*is vehicleId the right column\?/);
    expect(Number(readFileSync(peakFile, 'utf8'))).toBeLessThan(600_000);
  });

  it('gzip that swells a thousandfold, in bounded memory', async () => {
    const peakFile = folder.at('peak');
    const bomb = gzipSync(`${header}${' '.repeat(200_000_000)}\n${rows(5)}`);
    const ran = await gearhold(['analyze', folder.write('bomb.csv.gz', bomb)], { peakFile });
    holdsUp(ran, 0);
    expect(ran.stderr).toMatch(/^ {2}too-long +1: /m);
    expect(Number(readFileSync(peakFile, 'utf8'))).toBeLessThan(400_000);
  });
});

function oneObject(vehicleId: string): string {
  return `${JSON.stringify({ time: '2026-03-02T05:00:00Z', vehicleId, speedKph: 3 })}\n`;
}

it('names in the input cannot steer the terminal', async () => {
  const ran = await analyze(folder.write('steer.csv', 'time,vehicleId,\u001b[2Jx\u0007\n'), 0, /\\x1b\[2Jx\\x07/);
  expect(ran.stderr).not.toContain('\u001b');
});
