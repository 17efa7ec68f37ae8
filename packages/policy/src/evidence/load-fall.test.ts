import { describe, expect, it } from 'vitest';
import { drive } from '../testing/drive.ts';
import { at, uncouplingOf } from '../testing/scene.ts';
import { dumpedFromMs } from './load-fall.ts';

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
