import { parse } from 'csv-parse/sync';
import { expect, test } from 'vitest';
import { csvLine } from './csv-line.ts';

test('a foreign reader gets the cells back', () => {
  const cells = ['a,b', 'say "no"', 'two\nlines', '', 'plain', 'ü'];
  expect(parse(csvLine(cells), { record_delimiter: '\r\n' })).toEqual([cells]);
  expect(csvLine([1.5, null, -2])).toBe('1.5,,-2\r\n');
});

test('text that a spreadsheet would take for a formula is made plain', () => {
  expect(csvLine(['=1+1', '@x', '-3', '+4', 'a=b'])).toBe("'=1+1,'@x,'-3,'+4,a=b\r\n");
});
