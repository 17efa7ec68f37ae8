import type { TrueEpisode } from '@gearhold/fixtures';
import { describe, expect, it } from 'vitest';
import { match } from './match.ts';
import type { FoundEpisode } from './wire.ts';

const truth = (vehicleId: string, kind: string, seconds: number) =>
  ({ vehicleId, kind, loadTransferTime: seconds * 1000 }) as TrueEpisode;
const found = (vehicleId: string, kind: string, seconds: number) =>
  ({ vehicleId, kind, loadTransferTime: new Date(seconds * 1000).toISOString() }) as FoundEpisode;

describe('matching found to true episodes', () => {
  it('wants the same vehicle, the same kind and at most 15 s between', () => {
    const true1 = truth('A', 'coupling', 100);
    expect(match([true1], [found('A', 'coupling', 115)]).pairs).toHaveLength(1);
    expect(match([true1], [found('A', 'coupling', 115.1)]).pairs).toHaveLength(0);
    expect(match([true1], [found('B', 'coupling', 100)]).pairs).toHaveLength(0);
    expect(match([true1], [found('A', 'uncoupling', 100)]).pairs).toHaveLength(0);
  });

  it('gives a true episode to the nearest and calls the other spurious', () => {
    const near = found('A', 'coupling', 101);
    const far = found('A', 'coupling', 110);
    const matched = match([truth('A', 'coupling', 100)], [far, near]);
    expect(matched.pairs.map((pair) => pair.found)).toEqual([near]);
    expect(matched.spurious).toEqual([far]);
    expect(matched.missing).toEqual([]);
  });

  it('finds both of two true episodes that lie close together', () => {
    const matched = match(
      [truth('A', 'coupling', 100), truth('A', 'coupling', 112)],
      [found('A', 'coupling', 108), found('A', 'coupling', 99)],
    );
    expect(matched.pairs).toHaveLength(2);
  });
});
