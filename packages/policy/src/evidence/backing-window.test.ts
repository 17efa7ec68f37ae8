import { interval } from '@gearhold/episodes';
import { expect, test } from 'vitest';
import { ask } from '../testing/ask.ts';
import { drive } from '../testing/drive.ts';
import { at, couplingOf } from '../testing/scene.ts';
import { backingWindow } from './backing-window.ts';

test('a forward gear after the run, a tug test say, does not cut off the beginning of the run', () => {
  const rows = drive([
    { seconds: 20, speedKph: 0, gear: 0, parkingBrake: 1, serviceBrake: 0, acceleratorPct: 0, kpa: 60 },
    { seconds: 8, speedKph: 0, gear: -1, parkingBrake: 0, serviceBrake: 0, acceleratorPct: 20, kpa: 60 },
    { seconds: 3, speedKph: 0, gear: -1, parkingBrake: 0, serviceBrake: 1, acceleratorPct: 0, kpa: 60 },
    { seconds: 6, speedKph: 0, gear: -1, parkingBrake: 0, serviceBrake: 0, acceleratorPct: 0, kpa: 60 },
    { seconds: 20, speedKph: 0, gear: -1, parkingBrake: 0, serviceBrake: 1, acceleratorPct: 0, kpa: 60 },
    { seconds: 3, speedKph: 0, gear: 1, parkingBrake: 0, serviceBrake: 0, acceleratorPct: 0, kpa: 60 },
    { seconds: 60, speedKph: 0, gear: 0, parkingBrake: 1, serviceBrake: 0, acceleratorPct: 0, kpa: 60 },
    {
      seconds: 40,
      speedKph: 0,
      gear: 0,
      parkingBrake: 1,
      serviceBrake: 0,
      acceleratorPct: 0,
      kpa: (into) => Math.min(160, 60 + 10 * into),
    },
  ]);
  const plain = couplingOf(rows, { approach: 31, contact: 120, transfer: 125, seated: 37 });
  const open = { ...plain.milestones, approachTime: interval(at(30), at(90), at(31)) };
  const episode = { ...plain, milestones: open };
  expect(backingWindow(episode)!.possible.startMs).toBeLessThanOrEqual(at(20));
  const check = ask('backing-above-idle', episode);
  expect(check.outcome).toBe('undetermined');
  expect(check.measured!.high).toBe(20);
});
