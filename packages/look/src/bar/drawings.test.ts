/** What the drawings for page and mail must keep, whatever the figures: the verdict, the sides of the limit, and their own width. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Proof, placeBar, usualScale } from './bar.ts';
import type { CheckBar } from './check-bar.ts';
import { mailBar } from './mail.ts';
import { svgBar } from './svg.ts';

const inks = { ink: '#111111', soft: '#555555', rule: '#999999', missed: '#9c2f1b' };

function bar(proof: Proof, low: number | null, high: number | null, value = 30): CheckBar {
  return {
    proof,
    low,
    high,
    limit: { side: 'atLeast', value },
    scale: usualScale(low, high, value),
    labels: { from: '0', to: '40 s', limit: `${value} s` },
    said: '0 to 2 s; at least <30> s is asked',
  };
}

/** Widths of the cells of the row that holds the scale. */
function cellWidths(html: string): number[] {
  const scale = html.split('<table').find((row) => row.includes('height:16px')) ?? '';
  return [...scale.matchAll(/<td [^>]*width="(\d+)"/g)].map(([, width]) => Number(width));
}

describe('places along the scale', () => {
  it('keep a proven bar on its own side of the tick, at least so long, and within the scale', () => {
    const figure = fc.integer({ min: 0, max: 5000 }).map((n) => n / 10);
    fc.assert(
      fc.property(figure, figure, figure, fc.boolean(), (a, b, limit, atLeast) => {
        const [low, high] = [Math.min(a, b), Math.max(a, b)];
        const below = high < limit;
        const proof = below ? (atLeast ? 'past' : 'within') : low >= limit ? (atLeast ? 'within' : 'past') : 'unproven';
        const side = atLeast ? ('atLeast' as const) : ('atMost' as const);
        const places = placeBar({ ...bar(proof, low, high, limit), limit: { side, value: limit } }, 300, 6, 3);
        expect(places.from).toBeGreaterThanOrEqual(0);
        expect(places.to).toBeLessThanOrEqual(300);
        expect(places.to - places.from).toBeGreaterThanOrEqual(6);
        if (proof === 'unproven') return;
        if (below) expect(places.to).toBeLessThanOrEqual(places.tick - 3);
        else expect(places.from).toBeGreaterThanOrEqual(places.tick + 3);
      }),
      { numRuns: 500 },
    );
  });

  it('are open only where nothing bounds the figure', () => {
    expect(placeBar(bar('unproven', null, null), 300, 6, 3)).toMatchObject({ openFrom: true, openTo: true });
    expect(placeBar(bar('within', 45, null), 300, 6, 3)).toMatchObject({ openFrom: false, openTo: true });
    expect(placeBar(bar('past', 0, 2), 300, 6, 3)).toMatchObject({ from: 0, to: 15, openFrom: false, openTo: false });
  });
});

describe('the drawing for mail', () => {
  it('fills exactly its width, and names no picture', () => {
    for (const one of [
      bar('past', 0, 2),
      bar('within', 31, 35),
      bar('unproven', 24, 33),
      bar('unproven', null, null),
    ]) {
      const html = mailBar(one, 300, inks);
      expect(cellWidths(html).reduce((sum, width) => sum + width, 0)).toBe(300);
      expect(html).not.toMatch(/<img|url\(|background|http/);
    }
  });

  it('differs by shape, not by colour alone', () => {
    const shape = (one: CheckBar) => mailBar(one, 300, { ink: 'c', soft: 'c', rule: 'c', missed: 'c' });
    expect(shape(bar('past', 0, 2))).toContain('border-top:12px solid');
    expect(shape(bar('within', 0, 2))).not.toContain('border-top:12px solid');
    expect(shape(bar('within', 0, 2))).toContain('border-left:2px solid');
    expect(shape(bar('unproven', 0, 2))).toContain('//');
    expect(shape(bar('within', 0, 2))).not.toContain('//');
  });

  it('says in words what it draws, with nothing that could be taken for markup', () => {
    expect(mailBar(bar('past', 0, 2), 300, inks)).toContain('aria-label="0 to 2 s; at least &#60;30&#62; s is asked"');
  });
});

describe('the drawing for a page', () => {
  it('differs by shape and says what it draws', () => {
    expect(svgBar(bar('past', 0, 2))).toMatch(/^<svg .*aria-label="0 to 2 s; .*fill="var\(--missed/);
    expect(svgBar(bar('within', 31, 35))).not.toContain('--missed');
    expect(svgBar(bar('unproven', 24, 33))).not.toContain('--missed');
  });

  it('hatches within the ends of the bar only', () => {
    const svg = svgBar(bar('unproven', 24, 33));
    const { from, to } = placeBar(bar('unproven', 24, 33), 292, 4, 3);
    const hatch = /<path d="([^"]*L[^"]*)"/.exec(svg)?.[1] ?? '';
    const xs = [...hatch.matchAll(/[ML](\d+) /g)].map(([, x]) => Number(x));
    expect(xs.length).toBeGreaterThan(10);
    expect(Math.min(...xs)).toBeGreaterThanOrEqual(from + 4);
    expect(Math.max(...xs)).toBeLessThanOrEqual(to + 4);
  });

  it('has arrows where nothing bounds the figure', () => {
    const arrows = (one: CheckBar) => svgBar(one).match(/stroke-width="2"\/>/g)?.length;
    expect(arrows(bar('unproven', 24, 33))).toBe(1);
    expect(arrows(bar('unproven', null, null))).toBe(3);
  });
});
