import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Readable } from 'node:stream';
import { gzipSync } from 'node:zlib';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { formatOfBytes, type InputFile, inputFiles } from './input-file.ts';

const empty = () => Readable.from([]);

async function textOf(file: InputFile, onBytes: (count: number) => void = () => {}): Promise<string> {
  const chunks: Uint8Array[] = [];
  for await (const chunk of file.open(onBytes)) chunks.push(chunk);
  return Buffer.concat(chunks).toString();
}

describe('the input files', () => {
  let folder: string;
  beforeAll(() => {
    folder = mkdtempSync(join(tmpdir(), 'input-'));
  });
  afterAll(() => rmSync(folder, { recursive: true }));

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

  it('say by their name that they are gzip data, or leave it to their first bytes', () => {
    const found = inputFiles(['a.csv.gz', 'b.csv', '-'], null, empty()).map((input) => input.gzip);
    expect(found).toEqual([true, undefined, undefined]);
  });

  it('give their bytes and count them', async () => {
    let bytes = 0;
    const path = join(folder, 'a.csv');
    writeFileSync(path, 'time,vehicleId\n');
    const [input] = inputFiles([path], null, empty());
    expect(input?.size).toBe(15);
    expect(await textOf(input!, (count) => (bytes += count))).toBe('time,vehicleId\n');
    expect(bytes).toBe(15);
  });

  it('say so where they cannot be opened', async () => {
    const missing = inputFiles([join(folder, 'missing.csv')], null, empty())[0]!;
    await expect(textOf(missing)).rejects.toThrow('there is no such file or folder');
    const folderItself = inputFiles([folder], 'csv', empty())[0]!;
    await expect(textOf(folderItself)).rejects.toThrow('it is a folder, not a file');
  });
});

it('tells the format of standard input by its first bytes and passes all of them on', async () => {
  const cases = [
    ['time,vehicleId\n', 'csv'],
    [' \n{"time":', 'ndjson'],
    ['\uFEFF[{"time":', 'json'],
    ['', 'csv'],
  ];
  for (const [text = '', expected] of cases) {
    for (const whole of [Buffer.from(text), gzipSync(text)]) {
      const chunks = whole.length === 0 ? [] : [whole.subarray(0, 40), whole.subarray(40)];
      const { format, bytes } = await formatOfBytes(Readable.from(chunks));
      expect(format).toBe(expected);
      const passed: Uint8Array[] = [];
      for await (const chunk of bytes) passed.push(chunk);
      expect(Buffer.concat(passed).equals(whole)).toBe(true);
    }
  }
});
