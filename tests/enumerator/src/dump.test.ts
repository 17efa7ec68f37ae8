import { describe, expect, test } from 'vitest';
import { rowsEvery } from './drawn-rows.ts';
import { dumpInstants } from './dump.ts';
import { loadOf } from './load.ts';
import type { Known, TrueAnchor } from './row.ts';
import { View } from './series.ts';

const episode: TrueAnchor = {
  kind: 'uncoupling',
  startTime: 0,
  endTime: 60_000,
  loadTransferTime: 20_000,
  pressureBeforeKpa: 400,
  pressureAfterKpa: 60,
  dumped: true,
  milestones: {},
};

function instants(pressures: readonly number[], seconds = 1, more: Partial<Known> = {}) {
  const known: Known = { blindSpeedKph: 3, releasedPedalPct: 0, loadNoise: 0, loadStep: 0.1, ...more };
  const view = new View(rowsEvery(seconds, pressures.length, { speedKph: 0, suspensionKpa: pressures }), known);
  const found = dumpInstants(loadOf(view, episode), 0, pressures.length * seconds * 1000);
  return found === null ? null : [found.lowMs / 1000, found.highMs / 1000];
}

describe('the instant at which the fall of a dump is done', () => {
  test('lies between the last sample above the last 5 % and the first below', () => {
    // 400 to 0 kPa: done at 20 kPa, between 4 s (30) and 5 s (12).
    expect(instants([400, 400, 400, 150, 30, 12, 4, 0, 0, 0])).toEqual([4, 5]);
  });

  test('has 5 kPa left where that is more than 5 %, and one step where that is more still', () => {
    // 80 to 0 kPa: 5 % is 4, so done at 5 kPa.
    expect(instants([80, 80, 80, 20, 6, 4, 0, 0, 0])).toEqual([4, 5]);
    // Steps of 10 kPa: done at 10, each sample good to 5 either way: 20 is surely above only if the bottom is sure to 5.
    const steps = instants([80, 80, 80, 40, 30, 10, 0, 0, 0], 1, { loadStep: 10 });
    expect(steps?.[0]).toBeLessThanOrEqual(4);
    expect(steps?.[1]).toBeGreaterThanOrEqual(5);
  });

  test('is as uncertain as the samples are far apart', () => {
    expect(instants([400, 400, 400, 30, 0, 0, 0], 5)).toEqual([15, 20]);
  });

  test('takes no notice of a refill afterwards', () => {
    expect(instants([400, 400, 400, 150, 30, 12, 4, 0, 0, 0, 40, 60, 60])).toEqual([4, 5]);
  });

  test('is later by what noise hides, never earlier', () => {
    const noisy = [402, 397, 401, 150, 31, 14, 1, 3, 0, 2, 0, 3, 1, 0, 2, 1];
    const [low, high] = instants(noisy, 1, { loadNoise: 3, loadStep: 1 }) ?? [];
    expect(low).toBeLessThanOrEqual(4);
    expect(high).toBeGreaterThanOrEqual(5);
    expect(high).toBeLessThanOrEqual(13);
  });

  test('is not known without samples', () => {
    expect(instants([400])).toBeNull();
  });
});
