import { describe, expect, it } from 'vitest';
import { at, evidenceOf, rowsEvery } from '../testing/scene.ts';
import { possiblyHeld, provenHeld } from './held-level.ts';
import { samplesOf } from './samples.ts';

const window = { startMs: at(5), endMs: at(25) };

function held(values: (t: number) => number, every = 1) {
  const evidence = evidenceOf(
    rowsEvery(every, 0, 30, (t) => ({ acceleratorPct: values(t) })),
    {
      cadence: { usualMs: every * 1000 },
    },
  );
  const pedal = samplesOf(evidence, 'acceleratorPct');
  return { proven: provenHeld(evidence, pedal, window, 1000), possible: possiblyHeld(pedal, window, 1000, 1500) };
}

describe('a level held for 1 s', () => {
  it('is proven from the first to the last of the samples at or above it', () => {
    expect(held((t) => (t >= 10 && t <= 13 ? 20 - t : 0))).toEqual({
      proven: { level: 9, stretch: { startMs: at(10), endMs: at(11) } },
      possible: 10,
    });
  });

  it('is not proven by one sample, but possible up to its neighbours', () => {
    expect(held((t) => (t === 10 ? 20 : 0))).toMatchObject({ proven: { level: 0 }, possible: 20 });
  });

  it('is not possible in less than the neighbours leave', () => {
    expect(held((t) => (t === 10 ? 20 : 0), 0.25).possible).toBe(0);
  });

  it('counts only inside the window', () => {
    expect(held((t) => (t < 4 || t > 26 ? 50 : 1))).toMatchObject({ proven: { level: 1 }, possible: 1 });
  });

  it('may be any where samples lie more than a second and a half apart', () => {
    expect(held(() => 0, 2).possible).toBe(null);
    expect(held(() => 0, 2).proven).toBe(null);
  });
});
