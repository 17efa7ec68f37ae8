import { parse } from 'csv-parse/sync';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { CsvSplitter } from './csv.ts';
import { columnsMax, recordMax } from './csv-record.ts';

interface Result {
  records: string[][];
  lines: number[];
  sources: string[];
  rejects: [reason: string, line: number, text: string][];
}

function split(text: string, size = Number.POSITIVE_INFINITY, delimiter = ',', aborts = false): Result {
  const result: Result = { records: [], lines: [], sources: [], rejects: [] };
  const slice = (bytes: Uint8Array, start: number, end: number) => Buffer.from(bytes.subarray(start, end)).toString();
  const splitter = new CsvSplitter(delimiter.charCodeAt(0), {
    record(record) {
      const cells: string[] = [];
      for (let c = 0; c < Math.min(record.count, columnsMax); c++) {
        cells.push(slice(record.bytes, record.starts[c]!, record.ends[c]!));
      }
      result.records.push(cells);
      result.lines.push(record.line);
      result.sources.push(slice(record.source, record.sourceStart, record.sourceEnd));
    },
    reject(reason, line, source, start, end) {
      result.rejects.push([reason, line, slice(source, start, end)]);
    },
  });
  const bytes = Buffer.from(text);
  for (let at = 0; at < bytes.length; at += size) splitter.push(bytes.subarray(at, Math.min(bytes.length, at + size)));
  if (aborts) splitter.abort();
  else splitter.end();
  return result;
}

const cell = fc.oneof(
  fc.constantFrom('', '1', 'a b', 'é', '"', '""', ',', '\n', '\r\n', 'x"y', ' "q"'),
  fc.string({ maxLength: 6 }),
);
/** A cell as RFC 4180 writes it, quoted where it must be or sometimes where it need not. */
const written = (text: string, quoted: boolean, delimiter: string) =>
  quoted || /["\r\n]/.test(text) || text.includes(delimiter) ? `"${text.replaceAll('"', '""')}"` : text;

describe('CsvSplitter', () => {
  it('reads back whatever RFC 4180 can write, wherever the bytes are cut', () => {
    const tables = fc.record({
      rows: fc.array(fc.array(fc.tuple(cell, fc.boolean()), { minLength: 2, maxLength: 4 }), { maxLength: 30 }),
      lineEnd: fc.constantFrom('\n', '\r\n'),
      last: fc.boolean(),
      size: fc.integer({ min: 1, max: 40 }),
      delimiter: fc.constantFrom(',', ';', '\t', '|'),
    });
    fc.assert(
      fc.property(tables, ({ rows, lineEnd, last, size, delimiter }) => {
        const text = rows.map((row) => row.map(([t, q]) => written(t, q, delimiter)).join(delimiter)).join(lineEnd);
        const { records, rejects } = split(text + (last ? lineEnd : ''), size, delimiter);
        expect(records).toEqual(rows.map((row) => row.map(([t]) => t)));
        expect(rejects).toEqual([]);
      }),
      { numRuns: 500 },
    );
  });

  it('agrees with csv-parse on anything that csv-parse accepts', () => {
    const soup = fc.array(fc.constantFrom('"', '"', ',', '\n', 'a', 'bc', '""', ' ', '\r\n'), { maxLength: 25 });
    fc.assert(
      fc.property(soup, (parts) => {
        const text = `h,i\n${parts.join('')}`;
        let expected: string[][] | null = null;
        try {
          expected = parse(text, {
            relax_column_count: true,
            skip_empty_lines: true,
            record_delimiter: ['\r\n', '\n'],
          });
        } catch {
          // What csv-parse refuses as a whole is read line by line here.
        }
        const { records, rejects } = split(text);
        if (expected === null) expect(rejects.length).toBeGreaterThan(0);
        else expect({ records, rejects }).toEqual({ records: expected, rejects: [] });
      }),
      { numRuns: 2000 },
    );
  });

  it('knows the line and the text of every record', () => {
    const { lines, sources } = split('a,b\r\n\r\n"1\n2",x\r\ny,z\r\n"p",q');
    expect(lines).toEqual([1, 3, 5, 6]);
    expect(sources).toEqual(['a,b', '"1\n2",x', 'y,z', '"p",q']);
  });

  it('goes back to cutting lines once quotes have become rare', () => {
    const rows = Array.from({ length: 100 }, (_, i) => (i % 40 === 7 ? `"${i}",b` : `${i},b`));
    expect(split(rows.join('\n')).records).toEqual(rows.map((_, i) => [String(i), 'b']));
  });

  it('gives up a quote that never closes after one line, at the end or at the limit', () => {
    expect(split('a,b\n"c,d\ne,f\n')).toMatchObject({
      records: [
        ['a', 'b'],
        ['e', 'f'],
      ],
      rejects: [['quotes', 2, '"c,d']],
    });
    const filler = 'e,f\n'.repeat(recordMax / 4 + 1000);
    for (const size of [70_000, 131_072]) {
      const { records, rejects } = split(`a,b\n"c,d\n${filler}`, size);
      expect(rejects).toEqual([['quotes', 2, '"c,d']]);
      expect(records.length).toBe(1 + filler.length / 4);
    }
  });

  it('rejects a line longer than a record may be and nothing else, however it is cut', () => {
    for (const extra of [0, 1]) {
      const long = `${'x'.repeat(recordMax - 2 + extra)},y`;
      for (const size of [65_536, 99_991, 4 * recordMax]) {
        const { records, rejects } = split(`a,b\n${long}\nc,d`, size);
        expect(records.length).toBe(extra === 0 ? 3 : 2);
        expect(rejects.map(([reason, line]) => [reason, line])).toEqual(extra === 0 ? [] : [['too-long', 2]]);
      }
    }
  });

  it('tells a record with too many columns by its count', () => {
    let count = 0;
    const splitter = new CsvSplitter(44, { record: (record) => (count = record.count), reject: () => {} });
    splitter.push(Buffer.from(`${','.repeat(columnsMax * 3)}\n`));
    expect(count).toBe(columnsMax + 1);
    splitter.push(Buffer.from(`"a"${','.repeat(columnsMax * 3)}\n`));
    expect(count).toBe(columnsMax + 1);
  });

  it('takes no cut-off line for a record where the input broke off', () => {
    expect(split('a,b\nc,"d', 3, ',', true)).toMatchObject({
      records: [['a', 'b']],
      rejects: [['cut-off', 2, 'c,"d']],
    });
  });
});
