import { builtInPolicy, parsePolicy } from '@gearhold/policy';
import { describe, expect, it } from 'vitest';
import { sheetColumns } from './columns.ts';
import { printedSheet } from './printed-sheet.ts';

const html = printedSheet(builtInPolicy);

describe('the printed sheet', () => {
  it('has a place for every column of the template but the kind, which the page gives', () => {
    const asked = new Set([...html.matchAll(/<code>(\w+)<\/code>/g)].map((match) => match[1]));
    expect([...asked].sort()).toEqual(sheetColumns.filter((column) => column !== 'kind').sort());
  });

  it('carries the cautions on both of its pages', () => {
    expect(html.match(/<section class="page">/g)).toHaveLength(2);
    expect(html.match(/only a person looking at the fifth wheel can/g)).toHaveLength(2);
    expect(html).toContain('not by itself a ground for discipline');
  });

  it('fetches nothing and runs nothing', () => {
    expect(html).not.toMatch(/<script|<img|<link|https?:|url\(|@import/);
  });

  it('closes what it opens', () => {
    for (const tag of ['section', 'article', 'table', 'tr', 'th', 'td', 'div', 'span', 'p', 'footer']) {
      const opened = html.match(new RegExp(`<${tag}[ >]`, 'g'))?.length;
      expect([tag, html.match(new RegExp(`</${tag}>`, 'g'))?.length]).toEqual([tag, opened]);
    }
  });

  it('asks with the figures of the policy', () => {
    expect(html).toContain('Longest stop within 15\u00a0m short');
    const result = parsePolicy({ version: 1, checks: { 'approach-stop': { withinMetres: 25 } } });
    if (!('policy' in result)) throw new Error('the policy is right');
    expect(printedSheet(result.policy)).toContain('Longest stop within 25\u00a0m short');
  });
});
