import { describe, expect, it } from 'vitest';
import { couplingOf, rowsEvery } from '../testing/scene.ts';
import { wentOffAgain } from './off-again.ts';

/** At 1 Hz: 60 kPa, then what comes from 10 s on. */
const coupled = (kpa: (t: number) => number) =>
  couplingOf(
    rowsEvery(1, 0, 60, (t) => ({ speedKph: t < 10 ? 3 : 0, gear: -1, suspensionKpa: t < 10 ? 60 : kpa(t) })),
    { approach: 2, contact: 9, transfer: 10, seated: 11, departure: 50 },
  );

describe('a load that came on', () => {
  it('went off again where a later sample shows the tractor alone', () => {
    expect(wentOffAgain(coupled((t) => (t > 30 && t < 40 ? 62 : 160)))).toBe(true);
  });

  it('stayed on where it only settled or shook', () => {
    expect(wentOffAgain(coupled((t) => 160 - 40 * Math.exp(10 - t) + 8 * Math.sin(t)))).toBe(false);
  });
});
