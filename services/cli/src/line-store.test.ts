import fc from 'fast-check';
import { expect, it } from 'vitest';
import { LineStore } from './line-store.ts';

const anyLine = fc.record({
  timeMs: fc.integer({ min: 0, max: 5 }),
  vehicleId: fc.constantFrom('T-1', 'T-10', 'T-2', 'ü'),
  text: fc.string({ unit: 'grapheme', maxLength: 30 }),
});

function linesOf(
  entries: readonly { timeMs: number; vehicleId: string; text: string }[],
  blockBytes: number,
): string[] {
  const store = new LineStore(blockBytes);
  for (const { timeMs, vehicleId, text } of entries) store.add(timeMs, vehicleId, text);
  const lines = [...store.lines()];
  store.close();
  return lines;
}

it('orders lines by time, then vehicle', () => {
  const entries = [
    { timeMs: 2, vehicleId: 'T-1', text: 'c' },
    { timeMs: 1, vehicleId: 'T-2', text: 'b' },
    { timeMs: 1, vehicleId: 'T-10', text: 'a' },
  ];
  expect(linesOf(entries, 100)).toEqual(['a\n', 'b\n', 'c\n']);
});

it('gives the same lines whatever their order of arrival and however much was written to disk', () => {
  const shuffled = fc
    .array(anyLine, { maxLength: 20 })
    .chain((lines) =>
      fc.tuple(fc.constant(lines), fc.shuffledSubarray(lines, { minLength: lines.length, maxLength: lines.length })),
    );
  fc.assert(
    fc.property(shuffled, fc.integer({ min: 1, max: 200 }), ([lines, other], blockBytes) => {
      const once = linesOf(lines, 1_000_000);
      expect(linesOf(other, blockBytes)).toEqual(once);
      expect(once.map((line) => line.slice(0, -1)).sort()).toEqual(lines.map((line) => line.text).sort());
    }),
    { numRuns: 200 },
  );
});
