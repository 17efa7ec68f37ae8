/** The house rules against this repository. That each of them bites is tested in the files beside this one. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { importDirection, importExtensions } from './imports.ts';
import { emptyFolders, emptyNames, fixedTop, folderMap } from './layout.ts';
import { consoleCalls, purity } from './purity.ts';
import { dataSources, fileLength, leftoverMarks, publishedSources } from './text.ts';
import { readSources, readTree, top } from './tree.ts';

const tree = readTree();
const sources = readSources(tree, '.ts', '.tsx');

test('the walk sees the repository', () => {
  expect(tree.files).toContain('tests/house/house.test.ts');
  expect(tree.folders).toContain('packages/signals');
  expect(sources.length).toBeGreaterThan(20);
});

test('imports go in the direction of the import table', () => {
  expect(importDirection(sources)).toEqual([]);
});

test('relative imports carry their ending', () => {
  expect(importExtensions(sources)).toEqual([]);
});

test('signals, episodes, policy and rates are pure', () => {
  expect(purity(sources)).toEqual([]);
});

test('nobody calls the console', () => {
  expect(consoleCalls(sources)).toEqual([]);
});

test('the folder map of DEVELOPERS.md equals the tree', () => {
  expect(folderMap(tree, readFileSync(join(top, 'DEVELOPERS.md'), 'utf8'))).toEqual([]);
});

test('the top level keeps its fixed layout', () => {
  expect(fixedTop(tree)).toEqual([]);
});

test('there are no empty folders', () => {
  expect(emptyFolders(tree)).toEqual([]);
});

test('files and folders are named after their job', () => {
  expect(emptyNames(tree)).toEqual([]);
});

test('no file is longer than one idea', () => {
  expect(fileLength(sources)).toEqual([]);
});

test('no leftover marks', () => {
  expect(leftoverMarks(sources)).toEqual([]);
});

test('published tests and their data name their source', () => {
  expect(publishedSources(sources)).toEqual([]);
  expect(dataSources(tree.files, readFileSync(join(top, 'tests/published/data/README.md'), 'utf8'))).toEqual([]);
});
