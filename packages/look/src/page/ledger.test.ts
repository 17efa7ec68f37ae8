import { expect, it } from 'vitest';
import { entry, spread, table, unicodePage, wrap } from './ledger.ts';

const page = { width: 60, ink: unicodePage, soft: (text: string) => text };

it('sets margin and body side by side, whichever is longer', () => {
  expect(entry(page, ['3 Mar 2026', 'a very long name of a yard'], ['one', 'two', 'three'])).toEqual([
    '3 Mar 2026    │ one',
    'a very long . │ two',
    '              │ three',
  ]);
  expect(entry(page, ['a', 'b'], ['one'])).toEqual(['a             │ one', 'b             │']);
});

it('wraps at words and breaks a word that is longer than a line', () => {
  expect(wrap('the trailer was left', 11)).toEqual(['the trailer', 'was left']);
  expect(wrap('abcdefghij k', 4)).toEqual(['abcd', 'efgh', 'ij k']);
  expect(wrap('', 10)).toEqual([]);
});

it('spreads two texts over a line where they fit', () => {
  expect(spread('a', 'b', 5)).toEqual(['a   b']);
  expect(spread('aaa', 'bb', 5)).toEqual(['aaa', 'bb']);
});

it('aligns a table: words left, figures right', () => {
  expect(
    table([
      ['check', 'met'],
      ['a', '1'],
      ['bb', '200'],
    ]),
  ).toEqual(['check  met', 'a        1', 'bb     200']);
});
