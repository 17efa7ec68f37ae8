import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { isBlankCell, parseDecimal } from './decimal.ts';

const parse = (text: string, mark?: string) => {
  const bytes = Buffer.from(`[${text}]`);
  return parseDecimal(bytes, 1, bytes.length - 1, mark?.charCodeAt(0));
};

describe('parseDecimal', () => {
  it('gives the value that Number gives, to the last bit', () => {
    const spelled = fc.oneof(
      fc.double({ noNaN: true, noDefaultInfinity: true }).map(String),
      fc.tuple(fc.integer(), fc.nat({ max: 12 })).map(([n, d]) => (n / 10 ** d).toFixed(d)),
      fc.stringMatching(/^[+-]?\d{0,25}\.?\d{0,25}([eE][+-]?\d{1,3})?$/),
    );
    fc.assert(
      fc.property(spelled, (text) => {
        const expected = Number(text);
        const isOne = /\d/.test(text.split(/e/i)[0]!) && Number.isFinite(expected);
        expect(parse(text)).toBe(isOne ? expected + 0 : Number.NaN);
      }),
      { numRuns: 3000 },
    );
  });

  it('takes signs, a mark at either end, blanks around and whole numbers with decimals', () => {
    expect(['+3', '-.5', '7.', ' 12.50\t', '3.0', '1e3', '-0'].map((t) => parse(t))).toEqual([
      3, -0.5, 7, 12.5, 3, 1000, 0,
    ]);
  });

  it('reads the decimal mark it is told, and no other', () => {
    expect([parse('1,25', ','), parse('1.25', ','), parse('1,25')]).toEqual([1.25, Number.NaN, Number.NaN]);
    expect(parse('123456789012345678901,5', ',')).toBe(Number('123456789012345678901.5'));
  });

  it('takes nothing else for a number', () => {
    const none = [
      '',
      ' ',
      '.',
      '-',
      'e5',
      '1e',
      '1e+',
      '0x10',
      'NaN',
      'Infinity',
      '-Infinity',
      '1e999',
      '1 2',
      '1.2.3',
      '1_000',
    ];
    for (const text of [...none, '1,000', '--1', '1٣', 'twelve', '5km']) expect(parse(text)).toBeNaN();
  });
});

describe('isBlankCell', () => {
  it('is true of spaces and tabs only', () => {
    expect(isBlankCell(Buffer.from(' \t '), 0, 3)).toBe(true);
    expect(isBlankCell(Buffer.from(' . '), 0, 3)).toBe(false);
  });
});
