import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Readable } from 'node:stream';
import { gzipSync } from 'node:zlib';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type Format, formatOf, type InputFile, inputFiles } from './input.ts';

const empty = () => Readable.from([]);

async function textOf(file: InputFile): Promise<string> {
  const chunks: Uint8Array[] = [];
  for await (const chunk of file.open(() => {})) chunks.push(chunk);
  return Buffer.concat(chunks).toString();
}

describe('the input files', () => {
  let folder: string;
  beforeAll(() => {
    folder = mkdtempSync(join(tmpdir(), 'input-'));
  });
  afterAll(() => rmSync(folder, { recursive: true }));

  const file = (name: string, bytes: Uint8Array | string, format: Format | null = null): InputFile => {
    const path = join(folder, name);
    writeFileSync(path, bytes);
    return inputFiles([path], format, empty())[0]!;
  };

  it('take their format from the extension, in any case, before .gz', () => {
    const names = ['a.csv', 'b.NDJSON', 'c.jsonl', 'd.json', 'e.csv.gz', 'f.Json.GZ'];
    const found = inputFiles(names, null, empty()).map((input) => input.format);
    expect(found).toEqual(['csv', 'ndjson', 'ndjson', 'json', 'csv', 'json']);
    expect(inputFiles(['a.csv', 'readings'], 'json', empty()).map((input) => input.format)).toEqual(['json', 'json']);
  });

  it('want --format where the name does not tell', () => {
    expect(() => inputFiles(['readings.txt'], null, empty())).toThrow(
      'the format of readings.txt cannot be told from its name: expected .csv, .ndjson, .jsonl or .json, each also with .gz, or the option --format.',
    );
  });

  it('read standard input once', () => {
    expect(() => inputFiles(['-', '-'], null, empty())).toThrow('expected one - among the files');
  });

  it('are decompressed, several gzip members in one file included', async () => {
    const bytes = Buffer.concat([gzipSync('time,'), gzipSync('vehicleId\n')]);
    expect(await textOf(file('a.csv.gz', bytes))).toBe('time,vehicleId\n');
    const [input] = inputFiles(['-'], null, Readable.from([bytes]));
    expect(await textOf(input!)).toBe('time,vehicleId\n');
  });

  it('say so where gzip data are cut off, damaged or none', async () => {
    const whole = gzipSync(Buffer.alloc(100_000, 'readings and readings'));
    await expect(textOf(file('cut.csv.gz', whole.subarray(0, 80)))).rejects.toThrow(
      'ends in the middle of its gzip data',
    );
    const damaged = Buffer.from(whole);
    damaged.fill(0xff, 30, 60);
    await expect(textOf(file('bad.csv.gz', damaged))).rejects.toThrow('has damaged gzip data');
    await expect(textOf(file('none.csv.gz', 'time,vehicleId\n'))).rejects.toThrow('is not gzip data');
  });

  it('say so where they cannot be opened', async () => {
    const missing = inputFiles([join(folder, 'missing.csv')], null, empty())[0]!;
    await expect(textOf(missing)).rejects.toThrow('could not be read: there is no such file or folder');
    const folderItself = inputFiles([folder], 'csv', empty())[0]!;
    await expect(textOf(folderItself)).rejects.toThrow('could not be read: it is a folder, not a file');
  });
});

it('tells the format of standard input by its first bytes and passes all of them on', async () => {
  const cases: [string, Format][] = [
    ['time,vehicleId\n', 'csv'],
    [' \n{"time":', 'ndjson'],
    ['\uFEFF[{"time":', 'json'],
    ['', 'csv'],
  ];
  for (const [text, expected] of cases) {
    const [format, bytes] = await formatOf(Readable.from(text === '' ? [] : [Buffer.from(text)]));
    expect(format).toBe(expected);
    const chunks: Uint8Array[] = [];
    for await (const chunk of bytes) chunks.push(chunk);
    expect(Buffer.concat(chunks).toString()).toBe(text);
  }
});
