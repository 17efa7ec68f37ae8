/**
 * The enumerator against the exact truth of simulated trucks with perfect sensors: two witnesses that know nothing of each
 * other. Its bounds must hold the truth, and its verdicts must never contradict it.
 */
import { expect, test } from 'vitest';
import { generateSet } from '../../../fixtures/src/index.ts';
import { type Bounds, enumerate, type Row, rowOf } from './index.ts';

/** A simulation step either way, s. */
const stepSeconds = 0.06;
/** Half of the pedal's resolution of 0.4 %. */
const halfPedalStep = 0.21;

interface Judged {
  readonly check: string;
  readonly about: string;
  readonly outcome: string;
  readonly low: number;
  readonly high: number;
  readonly found: Bounds;
}

function judge(set: string, seed: string, trucks: number): Judged[] {
  const rows = new Map<string, Row[]>();
  const { truth } = generateSet(set, seed, trucks, (vehicleId, timeMs, _driverId, values) => {
    const own = rows.get(vehicleId) ?? [];
    own.push(rowOf(timeMs, values));
    rows.set(vehicleId, own);
  });
  return truth.episodes.flatMap((episode) => {
    const vehicle = truth.vehicles.find((v) => v.vehicleId === episode.vehicleId)!;
    const near = rows
      .get(episode.vehicleId)!
      .filter((row) => row.timeMs >= episode.startTime - 200_000 && row.timeMs <= episode.endTime + 200_000);
    const found = enumerate(near, episode, undefined, {
      blindSpeedKph: vehicle.blindSpeedKph,
      releasedPedalPct: vehicle.pedalRestPct,
      loadNoise: vehicle.noiseKpa,
      loadStep: vehicle.stepKpa,
    });
    return ['gear-hold-pause', 'backing-above-idle'].flatMap((check): Judged[] => {
      const true_ = episode.checks[check];
      if (true_ === undefined || true_.low === null || true_.high === null) return [];
      const about = `${check} of ${episode.vehicleId} at ${new Date(episode.startTime).toISOString()}`;
      return [{ check, about, outcome: true_.outcome, low: true_.low, high: true_.high, found: found[check] }];
    });
  });
}

const judged = judge('clean-1hz', 'tuning-enumerator', 6);
const of = (check: string): Judged[] => judged.filter((j) => j.check === check);

test('there is something to judge, and both verdicts of both checks are provable for some of it', () => {
  for (const check of ['gear-hold-pause', 'backing-above-idle']) {
    expect(of(check).length).toBeGreaterThan(20);
    expect(of(check).some((j) => j.found.outcome === 'met')).toBe(true);
    expect(of(check).some((j) => j.found.outcome === 'missed')).toBe(true);
  }
});

test('no proven verdict contradicts the truth', () => {
  const opposite = { met: 'missed', missed: 'met' } as Record<string, string>;
  expect(judged.filter((j) => opposite[j.found.outcome] === j.outcome).map((j) => j.about)).toEqual([]);
});

test('the bounds of the pause hold the truth', () => {
  const outside = of('gear-hold-pause').filter(
    ({ low, high, found }) =>
      high < (found.low ?? 0) - stepSeconds || low > (found.high ?? Number.POSITIVE_INFINITY) + stepSeconds,
  );
  expect(outside.map((j) => `${j.about}: ${j.low} s, not ${j.found.low} to ${j.found.high} s`)).toEqual([]);
});

test('the true accelerator position is never above the upper bound', () => {
  // It may be below the lower one: a foot that comes off and back between two samples a second apart counts as held.
  const above = of('backing-above-idle').filter((j) => j.low > (j.found.high ?? 100) + halfPedalStep);
  expect(above.map((j) => `${j.about}: ${j.low} %, not ${j.found.low} to ${j.found.high} %`)).toEqual([]);
});
