import { expect, it } from 'vitest';
import { count, namesOf, printable, whole } from './printable.ts';

it('spells out control characters, so that a name cannot steer the terminal', () => {
  expect(printable('a\u001b[2Jb\nc\u202ed')).toBe('a\\x1b[2Jb\\x0ac\\u{202e}d');
  expect(printable('Lübeck 🚚')).toBe('Lübeck 🚚');
});

it('shortens a long text', () => {
  expect(printable('x'.repeat(300), 10)).toBe('xxxxxxx...');
  expect(printable('x'.repeat(10), 10)).toBe('xxxxxxxxxx');
  expect(printable('\n'.repeat(5_000_000), 10)).toHaveLength(10);
});

it('groups thousands', () => {
  expect([0, 999, 1000, 1234567].map(whole)).toEqual(['0', '999', '1,000', '1,234,567']);
});

it('counts in singular and plural', () => {
  expect(count(1, 'row')).toBe('1 row');
  expect(count(2000, 'row')).toBe('2,000 rows');
  expect(count(0, 'yes or no', 'yes or noes')).toBe('0 yes or noes');
});

it('lists some names and counts the rest', () => {
  expect(namesOf(['a', 'b'])).toBe('a, b');
  expect(namesOf(['a', 'b', 'c', 'd'], 2)).toBe('a, b and 2 more');
});
