import { describe, expect, it } from 'vitest';
import { drive } from '../testing/drive.ts';
import { at, uncouplingOf } from '../testing/scene.ts';
import { dumpedByMs, dumpedFromMs } from './load-fall.ts';

describe("the earliest end of a dump's fall", () => {
  /** Falls from 160 kPa at 40 s by 20 kPa a second, to `lowest`. */
  const dumped = (lowest: number, noise = 1) =>
    uncouplingOf(
      drive([
        { seconds: 40, kpa: 160, speedKph: 0, gear: 0, parkingBrake: 1 },
        { seconds: 30, kpa: (into) => Math.max(lowest, 160 - 20 * into), speedKph: 0, gear: 0, parkingBrake: 1 },
        { seconds: 20, kpa: lowest, speedKph: 4, gear: 1, parkingBrake: 0 },
      ]),
      { stand: 0, dump: 48, pull: 70, release: 48, transfer: 44, clear: 80 },
      { levelAfter: lowest },
      { learned: { noise, step: 1 } },
    );
  const earliest = (lowest: number, noise?: number) => {
    const episode = dumped(lowest, noise);
    return (dumpedFromMs(episode, { pullOut: episode.milestones.pullOutTime! }) - at(0)) / 1000;
  };

  it('is the last sample that is surely above what may be left', () => {
    // 8 kPa may be left of 160, noise may hide 3, a step 1.
    expect(earliest(0)).toBe(47);
  });

  it('is earlier the more the noise may hide', () => {
    expect(earliest(0, 10)).toBe(46);
  });

  it('is not known where no sample shows it', () => {
    expect(earliest(155, 3)).toBe(Number.POSITIVE_INFINITY);
  });
});

describe("the latest end of a dump's fall", () => {
  /** At 10 Hz from 160 kPa to 0, by a time constant of 2 s from 40 s on; samples swing by `noise` either way. */
  const dumped = (noise: number) =>
    uncouplingOf(
      drive(
        [
          { seconds: 40, kpa: 160, speedKph: 0, gear: 0, parkingBrake: 1 },
          {
            seconds: 30,
            kpa: (into) => 160 * Math.exp(-into / 2) + noise * Math.sin(97 * into),
            speedKph: 0,
            gear: 0,
            parkingBrake: 1,
          },
          { seconds: 5, kpa: 0, speedKph: 4, gear: 1, parkingBrake: 0 },
        ],
        0.1,
      ),
      { stand: 0, dump: 46, pull: 70, release: 46, transfer: 42, clear: 74 },
      { levelAfter: 0 },
      { learned: { noise, step: 1 }, cadence: { usualMs: 100 } },
    );
  const latest = (noise: number) => (dumpedByMs(dumped(noise), at(45), at(70))! - at(0)) / 1000;

  it('is not before all but 5 % of the fall is done, 6 s after it began', () => {
    for (const noise of [0.2, 1, 3]) expect(latest(noise)).toBeGreaterThanOrEqual(46);
  });

  it('is soon after it, and later the more noise may have pulled a sample down', () => {
    expect(latest(0.2)).toBeLessThan(46.6);
    expect(latest(3)).toBeGreaterThan(latest(0.2));
    expect(latest(3)).toBeLessThan(50);
  });

  it('is not known where no sample stands after the dump', () => {
    expect(dumpedByMs(dumped(1), at(80), at(81))).toBeNull();
  });
});
