import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type EvidenceBar, type Proof, usualScale } from './bar.ts';
import { asciiInk, drawEvidenceBar, type Ink, unicodeInk } from './characters.ts';

type Side = EvidenceBar['limit']['side'];

function draw(
  proof: Proof,
  low: number | null,
  high: number | null,
  side: Side,
  value: number,
  unit: string,
  ink?: Ink,
): string[] {
  const scale = usualScale(low, high, value);
  const labels = { from: String(scale.from), to: `${scale.to} ${unit}`, limit: `${value} ${unit}` };
  return drawEvidenceBar({ proof, low, high, limit: { side, value }, labels }, 40, ink);
}

describe('the evidence bar', () => {
  it('is solid where it lies wholly past a limit', () => {
    expect(draw('past', 0, 2, 'atLeast', 30, 's')).toEqual([
      '                         30 s',
      '0 ├██┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┃┄┄┄┄┄┄┄┤ 40 s',
    ]);
    expect(draw('past', 14, 14, 'atMost', 2, '%')).toEqual(['     2 %', '0 ├┄┄┄┃┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄█┄┄┄┄┄┄┄┄┄┤ 20 %']);
  });

  it('is an outline where it lies wholly within', () => {
    expect(draw('within', 30, 35, 'atLeast', 30, 's')).toEqual([
      '                    30 s',
      '0 ├┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┃╞═╡┄┄┄┄┄┄┄┄┄┤ 50 s',
    ]);
    expect(draw('within', 0, 1, 'atMost', 2, '%')).toEqual([
      '                       2 %',
      '0 ├╞═════════╡┄┄┄┄┄┄┄┄┄┄┃┄┄┄┄┄┄┄┄┄┄┤ 3 %',
    ]);
  });

  it('is hatched where it lies across the limit, with the tick on top', () => {
    expect(draw('unproven', 24, 33, 'atLeast', 30, 's')).toEqual([
      '                         30 s',
      '0 ├┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄╱╱╱╱╱┃╱╱┄┄┄┄┄┤ 40 s',
    ]);
  });

  it('is open-ended where it is unbounded', () => {
    expect(draw('unproven', 0, null, 'atLeast', 30, 's')[1]).toBe('0 ├╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱┃╱╱╱╱╱╱▸┤ 40 s');
    expect(draw('unproven', null, null, 'atMost', 2, '%')[1]).toBe('0 ├◂╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱┃╱╱╱╱╱╱╱╱╱▸┤ 3 %');
    expect(draw('within', 45, null, 'atLeast', 30, 's')[1]).toBe('0 ├┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┃┄┄┄┄┄┄┄╞══════▸┤ 60 s');
    expect(draw('past', 14, null, 'atMost', 2, '%')[1]).toBe('0 ├┄┄┄┃┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄█████████▸┤ 20 %');
  });

  it('keeps what is proven off the tick, however close the figures are', () => {
    expect(draw('past', 28, 29.9, 'atLeast', 30, 's')[1]).toBe('0 ├┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄██┃┄┄┄┄┄┄┄┤ 40 s');
    expect(draw('past', 2.01, 2.01, 'atMost', 2, '%')[1]).toBe('0 ├┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┃█┄┄┄┄┄┄┄┄┄┤ 3 %');
  });

  it('shows a hatched bar that is no wider than the tick beside it', () => {
    expect(draw('unproven', 2, 2, 'atMost', 2, '%')[1]).toBe('0 ├┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄╱┃╱┄┄┄┄┄┄┄┄┄┤ 3 %');
  });

  it('draws a yes or no between its words', () => {
    const yesOrNo = { limit: { side: 'atLeast', value: 0.5 }, scale: { from: -0.25, to: 1.25 } } as const;
    const labels = { from: 'no', to: 'yes', limit: null };
    expect(drawEvidenceBar({ proof: 'past', low: 0, high: 0, ...yesOrNo, labels }, 30)).toEqual([
      'no ├┄┄┄█┄┄┄┄┄┄┃┄┄┄┄┄┄┄┄┄┄┤ yes',
    ]);
    expect(drawEvidenceBar({ proof: 'unproven', low: 0, high: 1, ...yesOrNo, labels }, 30)).toEqual([
      'no ├┄┄┄╱╱╱╱╱╱╱┃╱╱╱╱╱╱╱┄┄┄┤ yes',
    ]);
  });

  it('has a drawing in ASCII', () => {
    expect(draw('unproven', 2, 9, 'atMost', 2, '%', asciiInk)).toEqual([
      '      2 %',
      '0 |....!//////////////............| 15 %',
    ]);
    expect(draw('within', 45, null, 'atLeast', 30, 's', asciiInk)[1]).toBe('0 |...............!.......[======>| 60 s');
    expect(draw('past', 0, 2, 'atLeast', 30, 's', asciiInk)[1]).toBe('0 |##.....................!.......| 40 s');
  });

  it('never fills the wrong side of the limit with what is proven, and never exceeds its width', () => {
    const value = fc.integer({ min: 1, max: 5000 }).map((n) => n / 10);
    fc.assert(
      fc.property(value, value, value, fc.integer({ min: 40, max: 120 }), (a, b, limit, width) => {
        const [low, high] = [Math.min(a, b), Math.max(a, b)];
        const proof = high < limit ? 'past' : low >= limit ? 'within' : 'unproven';
        const labels = { from: '0', to: 'x', limit: 'limit' };
        const [, line = ''] = drawEvidenceBar(
          { proof, low, high, limit: { side: 'atLeast', value: limit }, labels },
          width,
        );
        expect(line.length).toBe(width);
        const tick = line.indexOf(unicodeInk.tick);
        expect(tick).toBeGreaterThan(0);
        const left = line.slice(0, tick);
        const right = line.slice(tick);
        expect(/█/.test(left)).toBe(proof === 'past');
        expect(/█/.test(right)).toBe(false);
        expect(/[╞═╡]/.test(right)).toBe(proof === 'within');
        expect(/[╞═╡]/.test(left)).toBe(false);
        expect(/╱/.test(line)).toBe(proof === 'unproven');
      }),
      { numRuns: 500 },
    );
  });
});

describe('the usual scale', () => {
  it('begins at 0 and ends at a round figure that leaves room', () => {
    expect(usualScale(0, 2, 30)).toEqual({ from: 0, to: 40 });
    expect(usualScale(11.5, 11.5, 2)).toEqual({ from: 0, to: 15 });
    expect(usualScale(null, null, 0)).toEqual({ from: 0, to: 1 });
  });

  it('reaches below 0 where a figure does', () => {
    expect(usualScale(-40, -30, -10)).toEqual({ from: -50, to: 1 });
  });
});
