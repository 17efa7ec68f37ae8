/**
 * Where things stand: the fixed top level, names that say nothing, empty folders, and the folder map of DEVELOPERS.md,
 * which equals the tree.
 */
import type { Tree } from './tree.ts';

const topLevel =
  /^(\..*|README\.md|DEVELOPERS\.md|CHANGELOG\.md|LICENSE|package(-lock)?\.json|tsconfig.*\.json|biome\.json|vitest\.config\.ts|knip\..*|services|packages|schemas|fixtures|tests|shared|infra)$/;

/** What stands at the top against the fixed layout. */
export function fixedTop(tree: Tree): string[] {
  const names = new Set([...tree.files, ...tree.folders].map((path) => path.split('/')[0]));
  return [...names]
    .filter((name) => !topLevel.test(name))
    .map((name) => `${name}: is not in the fixed layout of the top level; move it into a room`);
}

// Whole words of a name, with dashes or in camel case.
const fitsAnything = /(^|[-_.])(utils?|helpers?|managers?)([-_.A-Z]|$)|(Utils?|Helpers?|Managers?)([-_.A-Z]|$)/;

/** Names that would fit anything say nothing. */
export function emptyNames(tree: Tree): string[] {
  return [...tree.files, ...tree.folders]
    .filter((path) => fitsAnything.test(path.split('/').at(-1) ?? ''))
    .map((path) => `${path}: the name fits anything; name it after its one job`);
}

/** A folder without a file in or below it is not kept by git and belongs to nobody. */
export function emptyFolders(tree: Tree): string[] {
  return tree.folders
    .filter((folder) => !tree.files.some((file) => file.startsWith(`${folder}/`)))
    .map((folder) => `${folder}: is an empty folder; remove it or fill it`);
}

/**
 * Folders that the map must show: the two top levels, and the parts of each package and service, whose `src` goes
 * without saying. Dot-folders are left out.
 */
function foldersToMap(tree: Tree): string[] {
  return tree.folders
    .filter((folder) => !folder.split('/').some((part) => part.startsWith('.')))
    .filter((folder) => {
      const parts = folder.split('/');
      if (parts.at(-1) === 'src') return false;
      if (parts.length <= 2) return true;
      return parts.length === 4 && (parts[0] === 'packages' || parts[0] === 'services') && parts[2] === 'src';
    })
    .map((folder) => folder.replace('/src/', '/'));
}

/** Paths in the code block under the heading 'Folder map': a folder a line, two spaces a level, its job behind it. */
export function mappedFolders(developers: string): string[] {
  const block = /## Folder map.*?\n```[^\n]*\n(.*?)\n```/s.exec(developers)?.[1];
  if (block === undefined) return [];
  const above: string[] = [];
  const paths: string[] = [];
  for (const line of block.split('\n')) {
    const match = /^( *)([^\s/]+)\//.exec(line);
    if (!match) continue;
    above.length = (match[1] ?? '').length / 2;
    above.push(match[2] ?? '');
    paths.push(above.join('/'));
  }
  return paths;
}

/** The map against the tree, both ways. */
export function folderMap(tree: Tree, developers: string): string[] {
  const mapped = mappedFolders(developers);
  const real = foldersToMap(tree);
  return [
    ...real
      .filter((folder) => !mapped.includes(folder))
      .map((folder) => `DEVELOPERS.md: the folder map lacks ${folder}/; add a line with its job`),
    ...mapped
      .filter((folder) => !real.includes(folder))
      .map((folder) => `DEVELOPERS.md: the folder map shows ${folder}/, which does not exist; remove the line`),
  ];
}
