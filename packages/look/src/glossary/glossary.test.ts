import { expect, it } from 'vitest';
import { glossary, termOf } from './glossary.ts';

it('stands in order, each term once and with its origin', () => {
  const terms = glossary.map(({ term }) => term);
  expect(terms).toEqual([...new Set(terms)].sort((a, b) => a.localeCompare(b, 'en')));
  for (const { origin, meaning } of glossary) {
    expect(origin).toMatch(/^(trade|standard: .+|plain(, .+)?)$/);
    expect(meaning).not.toBe('');
  }
});

it('gives a label to one term only', () => {
  const names = glossary.flatMap(({ term, labels = [] }) => [term, ...labels]).map((name) => name.toLowerCase());
  expect(new Set(names).size).toBe(names.length);
});

it('finds the term of a label, whatever its capital', () => {
  expect(termOf('Silent trucks')?.term).toBe('silent truck');
  expect(termOf('Tug test')?.term).toBe('tug test');
  expect(termOf('Cockpit')).toBeNull();
});
