import {
  chmodSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { AtomicFile } from './atomic-file.ts';

describe('an atomic file', () => {
  let folder: string;
  beforeEach(() => {
    folder = mkdtempSync(join(tmpdir(), 'atomic-file-'));
  });
  afterEach(() => rmSync(folder, { recursive: true }));

  it('appears whole, and only when it is committed', () => {
    const name = join(folder, 'out.ndjson');
    writeFileSync(name, 'before');
    const file = new AtomicFile(name, 'output file');
    const long = 'ü'.repeat(300_000);
    file.write('a\n');
    file.write(long);
    file.write('b\n');
    expect(readFileSync(name, 'utf8')).toBe('before');
    file.commit();
    expect(readFileSync(name, 'utf8')).toBe(`a\n${long}b\n`);
    expect(readdirSync(folder)).toEqual(['out.ndjson']);
  });

  it('leaves what stood there when it is abandoned', () => {
    const name = join(folder, 'out.ndjson');
    const file = new AtomicFile(name, 'output file');
    file.write('a\n');
    file.abandon();
    expect(readdirSync(folder)).toEqual([]);
  });

  it('follows a link and keeps the rights of the file', () => {
    const name = join(folder, 'real');
    writeFileSync(name, 'before');
    chmodSync(name, 0o640);
    symlinkSync(name, join(folder, 'link'));
    const file = new AtomicFile(join(folder, 'link'), 'output file');
    file.write('after');
    file.commit();
    expect(readFileSync(name, 'utf8')).toBe('after');
    expect(statSync(name).mode & 0o777).toBe(0o640);
    expect(readdirSync(folder).sort()).toEqual(['link', 'real']);
  });

  it('writes to a device without replacing it', () => {
    const file = new AtomicFile('/dev/null', 'output file');
    file.write('a');
    file.commit();
    expect(statSync('/dev/null').isCharacterDevice()).toBe(true);
  });

  it('says why it cannot be written', () => {
    expect(() => new AtomicFile(folder, 'output file')).toThrow(
      `output file ${folder} cannot be written: it is a folder, not a file.`,
    );
    const nowhere = join(folder, 'a', 'b');
    expect(() => new AtomicFile(nowhere, 'output file')).toThrow(
      `output file ${nowhere} cannot be written: there is no such file or folder.`,
    );
  });
});
