/** What README.md and DEVELOPERS.md list is what there is. */
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { glossary } from '@gearhold/look';
import { checkList } from '@gearhold/policy';
import { catalogue } from '@gearhold/signals';
import { expect, test } from 'vitest';
import { top } from './tree.ts';

const readme = readFileSync(join(top, 'README.md'), 'utf8');
const developers = readFileSync(join(top, 'DEVELOPERS.md'), 'utf8');

/** Rows of the table whose header begins with this cell, without header and rule. */
function rowsUnder(document: string, header: string): string[] {
  const rows = document.split(`\n| ${header} |`)[1]?.split('\n\n')[0]?.split('\n').slice(2) ?? [];
  return rows.filter((row) => row.startsWith('|'));
}

function firstCells(document: string, header: string): string[] {
  return rowsUnder(document, header).map((row) => row.split('|')[1]?.trim() ?? '');
}

test('the checks of the README are those of the built-in policy, each under its own name', () => {
  const listed = firstCells(readme, 'check').map((cell) => cell.replaceAll('`', ''));
  expect(listed.sort()).toEqual(checkList.map((check) => check.name).sort());
});

test('the README lists every signal of the catalogue and no other', () => {
  const listed = firstCells(readme, 'signal').flatMap((cell) =>
    [...cell.matchAll(/`(\w+)`/g)].map((match) => match[1]),
  );
  expect(listed.sort()).toEqual([...catalogue.map((signal) => signal.name), 'driverId'].sort());
});

test('the README opens with the job and the two commands', () => {
  const [title, job, commands] = readme.split('\n\n');
  expect(title).toBe('# gearhold');
  expect(job).toMatch(/^gearhold reads what trucks report/);
  expect(commands).toMatch(/npm ci && npm start.*\n.*npm ci && npm test/);
});

test('the README carries the cautions in full', () => {
  for (const caution of [
    'only a person looking at the fifth wheel can. No verdict here clears a vehicle to move.',
    "The carrier's own procedure, the maker's instructions, local law and qualified technicians come first.",
    'An anomaly opens a conversation; it is not by itself a ground for discipline.',
    "Dropping a double's rear trailer leaves no trace on the drive axle",
    'what was not seen is never called done.',
  ]) {
    expect(readme.replace(/\s+/g, ' ')).toContain(caution);
  }
});

test('the glossary has the words of the vocabulary, in order, each with its origin', () => {
  const terms = firstCells(developers, 'term');
  for (const term of [
    'anomaly',
    'attempt',
    'check',
    'episode',
    'gear-hold pause',
    'load transfer',
    'outcome',
    'tug test',
  ]) {
    expect(terms).toContain(term);
  }
  expect(terms.some((term) => term.startsWith('coupling'))).toBe(true);
  expect(terms).toEqual([...terms].sort((a, b) => a.localeCompare(b, 'en')));
  for (const row of rowsUnder(developers, 'term')) expect(row).toMatch(/\| (plain|trade|standard: )/);
});

test('the glossary printed in DEVELOPERS.md is that of packages/look/src/glossary; change both', () => {
  const printed = rowsUnder(developers, 'term').map((row) =>
    row
      .split('|')
      .slice(1, 4)
      .map((cell) => cell.trim()),
  );
  expect(printed).toEqual(glossary.map(({ term, meaning, origin }) => [term, meaning, origin]));
});

test('every path that the documents name exists', () => {
  const named = [...`${readme}${developers}`.matchAll(/`((?:packages|services|tests|fixtures|schemas)\/[^`\s]*)`/g)]
    .map((match) => match[1] ?? '')
    .filter((path) => !/[A-Z*]{2,}|\*/.test(path));
  expect(named.length).toBeGreaterThan(8);
  expect(named.filter((path) => !existsSync(join(top, path)))).toEqual([]);
});

test('every npm script that the documents name exists', () => {
  const scripts: unknown = JSON.parse(readFileSync(join(top, 'package.json'), 'utf8')).scripts;
  for (const [, name] of `${readme}${developers}`.matchAll(/npm run ([a-z:-]+)/g))
    expect(scripts).toHaveProperty([name ?? '']);
});
