import { expect, test } from 'vitest';
import { dataSources, fileLength, leftoverMarks, publishedSources } from './text.ts';

test('500 lines pass, 501 are a finding with the count', () => {
  expect(fileLength([{ path: 'a.ts', text: 'x\n'.repeat(500) }])).toEqual([]);
  expect(fileLength([{ path: 'a.ts', text: 'x\n'.repeat(501) }])).toEqual([
    'a.ts: 501 lines, at most 500; split it by idea',
  ]);
});

// The dashes keep the rule from finding the marks in its own test.
const marks = ['T-O-D-O', 'F-I-X-M-E', 'X-X-X', 'test.o-n-l-y(', 'describe.s-k-i-p('];

test.each(marks.map((mark) => mark.replaceAll('-', '')))('the mark %s is a finding with its line', (mark) => {
  expect(leftoverMarks([{ path: 'a.ts', text: `one\n// ${mark} two` }])[0]).toMatch(/^a\.ts:2: /);
});

test('words that only contain a mark are none', () => {
  expect(leftoverMarks([{ path: 'a.ts', text: 'only (once), skip(n), mastodons' }])).toEqual([]);
});

test('a published test without a source is a finding; other tests need none', () => {
  const bare = { path: 'tests/published/a.test.ts', text: "import 'vitest';\n// Source: too late" };
  const good = { path: 'tests/published/b.test.ts', text: '/**\n * Numbers.\n *\n * Source: a book, page 3.\n */\n' };
  const other = { path: 'tests/house/a.test.ts', text: '' };
  expect(publishedSources([bare, good, other])).toEqual([
    "tests/published/a.test.ts: names no source; open it with a comment that says 'Source: ...'",
  ]);
});

test('a data file without an entry in its README is a finding', () => {
  const paths = ['tests/published/data/README.md', 'tests/published/data/a.csv', 'tests/published/data/b/c.dat'];
  expect(dataSources(paths, '- `a.csv`: a book, page 3.')).toEqual([
    'tests/published/data/b/c.dat: has no entry in tests/published/data/README.md; add one with its source',
  ]);
});
