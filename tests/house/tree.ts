/**
 * The repository as the house rules see it: every file and folder that belongs to it, with `/` paths from its top. What
 * git ignores and what tools leave behind is not part of it.
 */
import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

export interface SourceFile {
  /** Path from the top of the repository. */
  readonly path: string;
  readonly text: string;
}

export interface Tree {
  /** Paths of all files, ascending. */
  readonly files: readonly string[];
  /** Paths of all folders, ascending, the top itself left out. */
  readonly folders: readonly string[];
}

/** The top of the repository. */
export const top = join(dirname(fileURLToPath(import.meta.url)), '..', '..');

const notOurs = new Set(['.git', 'node_modules', 'tmp', 'coverage', 'dist', 'gearhold-data', 'gearhold-mail']);

/** Walks the working tree. */
export function readTree(): Tree {
  const files: string[] = [];
  const folders: string[] = [];
  const walk = (folder: string): void => {
    for (const entry of readdirSync(join(top, folder), { withFileTypes: true })) {
      if (notOurs.has(entry.name) || entry.name.endsWith('.log')) continue;
      const path = folder === '' ? entry.name : `${folder}/${entry.name}`;
      if (entry.isDirectory()) {
        folders.push(path);
        walk(path);
      } else {
        files.push(path);
      }
    }
  };
  walk('');
  return { files: files.sort(), folders: folders.sort() };
}

/** Reads the files of a tree that end in one of the endings. */
export function readSources(tree: Tree, ...endings: string[]): SourceFile[] {
  return tree.files
    .filter((path) => endings.some((ending) => path.endsWith(ending)))
    .map((path) => ({ path, text: readFileSync(join(top, path), 'utf8') }));
}
