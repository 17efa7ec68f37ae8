/** A folder for the files of one test file, gone afterwards. */
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll } from 'vitest';

export interface Folder {
  readonly path: string;
  /** The path of a name in it. */
  at(name: string): string;
  /** Writes a file and gives its path. */
  write(name: string, content: Uint8Array | string): string;
}

export function testFolder(): Folder {
  const path = mkdtempSync(join(tmpdir(), 'gearhold-test-'));
  afterAll(() => rmSync(path, { recursive: true, force: true }));
  const at = (name: string) => join(path, name);
  return {
    path,
    at,
    write: (name, content) => {
      writeFileSync(at(name), content);
      return at(name);
    },
  };
}
