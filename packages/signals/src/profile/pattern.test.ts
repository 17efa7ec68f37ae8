import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { compilePattern } from './pattern.ts';

const parse = (pattern: string, text: string) => {
  const compiled = compilePattern(pattern);
  if (typeof compiled === 'string') throw new Error(compiled);
  const bytes = Buffer.from(`<${text}>`);
  return compiled.parse(bytes, 1, bytes.length - 1);
};
const ms = Date.UTC(2026, 2, 2, 6, 11, 40);

describe('compilePattern', () => {
  it('reads the usual spellings of one time', () => {
    const spellings: [string, string][] = [
      ['yyyy-MM-dd HH:mm:ss', '2026-03-02 06:11:40'],
      ["yyyy-MM-dd'T'HH:mm:ss", '2026-03-02T06:11:40'],
      ['yyyyMMddHHmmss', '20260302061140'],
      ['dd.MM.yy HH:mm:ss', '02.03.26 06:11:40'],
      ['M/d/y h:mm:ss a', '3/2/2026 6:11:40 AM'],
      ['EEE, d MMM yyyy HH:mm:ss', 'Mon, 2 mar 2026 06:11:40'],
      ['EEEE d MMMM yyyy, HH:mm:ss', 'Monday 2 March 2026, 06:11:40'],
      ["yyyy-MM-dd HH 'o''clock' mm:ss", "2026-03-02 06 o'clock 11:40"],
      ['yyyy年MM月dd日 HH:mm:ss', '2026年03月02日 06:11:40'],
      ['yyyy-MM-dd HH:mm:ssXXX', '2026-03-02 00:11:40-06:00'],
      ['yyyy-MM-dd HH:mm:ss Z', '2026-03-02 11:41:40 +0530'],
      ['yyyy-MM-dd HH:mm:ssX', '2026-03-02 06:11:40Z'],
      ['yyyy-MM-dd HH:mm:ssx', '2026-03-02 07:11:40+01'],
    ];
    for (const [pattern, text] of spellings) expect([text, parse(pattern, text)]).toEqual([text, ms]);
  });

  it('reads back every time it can write', () => {
    const two = (n: number, width = 2) => String(n).padStart(width, '0');
    fc.assert(
      fc.property(fc.integer({ min: 0, max: Date.UTC(2099, 11, 31) }), (at) => {
        const d = new Date(at);
        const day = `${two(d.getUTCDate())}/${two(d.getUTCMonth() + 1)}/${d.getUTCFullYear()}`;
        const clock = `${two(d.getUTCMinutes())}:${two(d.getUTCSeconds())}.${two(d.getUTCMilliseconds(), 3)}`;
        expect(parse('dd/MM/yyyy HH:mm:ss.SSS', `${day} ${two(d.getUTCHours())}:${clock}`)).toBe(at);
        const half = d.getUTCHours() < 12 ? 'am' : 'PM';
        expect(parse('dd/MM/yyyy h:mm:ss.SSS a', `${day} ${d.getUTCHours() % 12 || 12}:${clock} ${half}`)).toBe(at);
      }),
    );
  });

  it('refuses what does not fit, and dates and hours that do not exist', () => {
    const none: [string, string][] = [
      ['yyyy-MM-dd HH:mm', '2026-02-29 10:00'],
      ['yyyy-MM-dd HH:mm', '2026-13-01 10:00'],
      ['yyyy-MM-dd HH:mm', '2026-03-02 24:00'],
      ['yyyy-MM-dd HH:mm', '2026-03-02 10:60'],
      ['yyyy-MM-dd HH:mm', '2026-03-02 10:00 '],
      ['yyyy-MM-dd HH:mm', '2026-03-02 1:00'],
      ['yyyy-MM-dd HH:mm:ss.SSS', '2026-03-02 10:00:00.12'],
      ['yyyy-MM-dd hh:mm a', '2026-03-02 13:00 pm'],
      ['yyyy-MM-dd hh:mm a', '2026-03-02 00:10 am'],
      ['yyyy-MM-dd HH:mmXXX', '2026-03-02 10:00+1:00'],
      ['yyyy-MM-dd HH:mmx', '2026-03-02 10:00Z'],
      ['EEE yyyy-MM-dd HH:mm', 'Foo 2026-03-02 10:00'],
      ['yyyy-MM-dd HH:mm', ''],
    ];
    for (const [pattern, text] of none) expect([text, parse(pattern, text)]).toEqual([text, Number.NaN]);
  });

  it('says what is wrong with a pattern', () => {
    expect(compilePattern('yyyy-MM-ddTHH:mm')).toContain('found T');
    expect(compilePattern('HH:mm:ss')).toContain('lacks y, M, d');
    expect(compilePattern('yyyy-MM-dd hh:mm')).toContain('h and a together');
    expect(compilePattern('yyyy-MM-dd HH:mm a')).toContain('h and a together');
    expect(compilePattern("yyyy-MM-dd HH:mm 'h")).toContain('closing quote');
    expect(compilePattern('yyyy-MM-dd-MM HH')).toContain('M once');
    expect(compilePattern('yyyy-MM-dd HHH')).toContain('found HHH');
  });
});
