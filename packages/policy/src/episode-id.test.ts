import { expect, it } from 'vitest';
import { episodeIdOf, fnv1a64 } from './episode-id.ts';

// Test vectors of the FNV reference code (from memory): the empty string, "a" and "foobar".
it.each([
  ['', 'cbf29ce484222325'],
  ['a', 'af63dc4c8601ec8c'],
  ['foobar', '85944171f73967e8'],
])('hashes %j as Fowler, Noll and Vo do', (text, hash) => {
  expect(fnv1a64(text)).toBe(hash);
});

it('differs by vehicle, kind and time, and by nothing else', () => {
  const id = episodeIdOf('T-1', 'coupling', '2026-03-02T06:14:05.000Z');
  expect(episodeIdOf('T-1', 'coupling', '2026-03-02T06:14:05.000Z')).toBe(id);
  expect(episodeIdOf('T-2', 'coupling', '2026-03-02T06:14:05.000Z')).not.toBe(id);
  expect(episodeIdOf('T-1', 'uncoupling', '2026-03-02T06:14:05.000Z')).not.toBe(id);
  expect(episodeIdOf('T-1', 'coupling', '2026-03-02T06:14:05.001Z')).not.toBe(id);
});

it('keeps vehicle ids apart that only join alike', () => {
  expect(episodeIdOf('T","coupling', 'x', 't')).not.toBe(episodeIdOf('T', 'coupling","x', 't'));
});
