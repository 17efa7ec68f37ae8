import { expect, test } from 'vitest';
import { emptyFolders, emptyNames, fixedTop, folderMap, mappedFolders } from './layout.ts';

const map = [
  '## Folder map',
  '',
  'Words before it.',
  '',
  '```',
  'packages/      what programs are made of',
  '  episodes/    what the truck did',
  '    bounds/    time as intervals',
  'tests/         what crosses rooms',
  '```',
].join('\n');

const tree = {
  files: ['packages/episodes/src/bounds/interval.ts', 'tests/a.ts'],
  folders: ['packages', 'packages/episodes', 'packages/episodes/src', 'packages/episodes/src/bounds', 'tests'],
};

test('a map that equals the tree passes', () => {
  expect(mappedFolders(map)).toEqual(['packages', 'packages/episodes', 'packages/episodes/bounds', 'tests']);
  expect(folderMap(tree, map)).toEqual([]);
});

test('a folder that the map lacks is a finding, dot-folders and deeper ones are none', () => {
  const more = [...tree.folders, '.ci', 'tests/faults', 'tests/faults/deep', 'packages/episodes/src/load'];
  expect(folderMap({ ...tree, folders: more }, map)).toEqual([
    'DEVELOPERS.md: the folder map lacks tests/faults/; add a line with its job',
    'DEVELOPERS.md: the folder map lacks packages/episodes/load/; add a line with its job',
  ]);
});

test('a line for a folder that is gone is a finding, and so is a file without a map', () => {
  const fewer = { ...tree, folders: tree.folders.filter((folder) => folder !== 'tests') };
  expect(folderMap(fewer, map)).toEqual([
    'DEVELOPERS.md: the folder map shows tests/, which does not exist; remove the line',
  ]);
  expect(folderMap(tree, 'no map here')).toHaveLength(4);
});

test('a stranger at the top level is a finding', () => {
  const strange = { files: ['README.md', '.gitignore', 'notes.md'], folders: ['lib', 'packages', '.ci'] };
  expect(fixedTop(strange).map((finding) => finding.split(':')[0])).toEqual(['notes.md', 'lib']);
});

test('a folder without files below it is a finding', () => {
  const hollow = { files: ['a/b/c.ts'], folders: ['a', 'a/b', 'a/d'] };
  expect(emptyFolders(hollow)).toEqual(['a/d: is an empty folder; remove it or fill it']);
});

test('a name that fits anything is a finding, whatever its case or number', () => {
  const files = ['a/utils.ts', 'a/test-helper.ts', 'a/StateManager.ts', 'a/state-manager.test.ts', 'a/outils.ts'];
  const found = emptyNames({ files, folders: ['a/helpers'] }).map((finding) => finding.split(':')[0]);
  expect(found).toEqual([
    'a/utils.ts',
    'a/test-helper.ts',
    'a/StateManager.ts',
    'a/state-manager.test.ts',
    'a/helpers',
  ]);
});
