import { describe, expect, it } from 'vitest';
import { at, evidenceOf, type Row } from '../testing/scene.ts';
import { departureShown } from './departure.ts';

describe('whether readings show a departure', () => {
  const departure = { low: at(10), high: at(20), best: at(15) };
  const shown = (rows: readonly Row[]) => departureShown(evidenceOf(rows), departure);

  it('they do where a sample within it shows movement', () => {
    expect(
      shown([
        { t: 10, speedKph: 0 },
        { t: 20, speedKph: 4 },
      ]),
    ).toBe(true);
  });

  it('they do not where the only movement is that of the run before, whose value had not lapsed', () => {
    expect(
      shown([
        { t: 10, speedKph: 3, gear: -1 },
        { t: 20, gear: 1 },
        { t: 30, speedKph: 0 },
      ]),
    ).toBe(false);
  });
});
