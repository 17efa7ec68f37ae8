import { describe, expect, it } from 'vitest';
import { at, evidenceOf, type Row } from '../testing/scene.ts';
import { departureShown, untilSeenMoving } from './departure.ts';

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

describe('the departure until it is seen', () => {
  const departure = { low: at(10), high: at(11), best: at(10.5) };
  const until = (movesAt: number) =>
    untilSeenMoving(
      evidenceOf([
        { t: 10, speedKph: 0 },
        { t: 11, speedKph: 0 },
        { t: movesAt, speedKph: 4 },
      ]),
      departure,
    );

  it('reaches to the very next sample, where that one moves', () => {
    expect(until(12)).toEqual({ ...departure, high: at(12) });
  });

  it('is none where the next sample comes too late to show when it left', () => {
    expect(until(20)).toBeNull();
  });
});
