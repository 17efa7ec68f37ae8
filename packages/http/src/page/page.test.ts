import { describe, expect, it } from 'vitest';
import { readCursor, writeCursor } from './cursor.ts';
import { etagOf, matches, noneMatch } from './etag.ts';
import { chosenFormat } from './formats.ts';

describe('formats', () => {
  it('follow the weights, and the order offered where they are equal', () => {
    expect(chosenFormat(undefined, ['json', 'csv'])).toBe('json');
    expect(chosenFormat('*/*', ['json', 'csv'])).toBe('json');
    expect(chosenFormat('text/csv', ['json', 'csv'])).toBe('csv');
    expect(chosenFormat('application/json;q=0.1, text/*', ['json', 'csv'])).toBe('csv');
    expect(chosenFormat('application/json;q=0, */*', ['json', 'ndjson'])).toBe('ndjson');
    expect(() => chosenFormat('image/png', ['json'])).toThrow(/application\/json/);
  });
});

describe('cursors', () => {
  const query = { vehicle: 'T-1', since: undefined };
  it('give the key back to the query that they belong to', () => {
    const cursor = writeCursor(query, ['2026-03-02', 7]);
    expect(readCursor({ vehicle: 'T-1' }, cursor, ['string', 'number'])).toEqual(['2026-03-02', 7]);
    expect(() => readCursor({ vehicle: 'T-2' }, cursor, ['string', 'number'])).toThrow();
    expect(() => readCursor(query, cursor, ['number', 'number'])).toThrow();
    expect(() => readCursor(query, 'garbage', ['string'])).toThrow();
  });
});

describe('entity tags', () => {
  it('are compared weakly for reading and strongly for writing', () => {
    const tag = etagOf('body');
    expect(noneMatch(`W/${tag}, "x"`, tag)).toBe(true);
    expect(noneMatch('"x"', tag)).toBe(false);
    expect(noneMatch(undefined, tag)).toBe(false);
    expect(matches(`W/${tag}`, tag)).toBe(false);
    expect(matches(`"x", ${tag}`, tag)).toBe(true);
    expect(matches('*', tag)).toBe(true);
  });
});
