import { describe, expect, it } from 'vitest';
import { at, evidenceOf } from '../testing/scene.ts';
import { lastAtOrBefore, samplesOf, valueAt } from './samples.ts';

const seconds = (times: readonly number[]) => times.map((time) => (time - at(0)) / 1000);

describe('samples of a periodic signal', () => {
  const evidence = evidenceOf([
    { t: 0, speedKph: 3, engineRpm: 700 },
    { t: 1, speedKph: 3, engineRpm: 700 },
    { t: 2, engineRpm: 705 },
    { t: 3, speedKph: 4, engineRpm: 710 },
    { t: 8, speedKph: 0, engineRpm: 710 },
    { t: 9, speedKph: 0, engineRpm: 710 },
  ]);
  const speed = samplesOf(evidence, 'speedKph');

  it('lie where it was reported, less the stale copies of a moving vehicle', () => {
    expect(seconds(speed.times)).toEqual([0, 3, 8, 9]);
    expect(speed.values).toEqual([3, 4, 0, 0]);
  });

  it('stand for three of its intervals, at least 3 s, and no longer', () => {
    expect(valueAt(speed, at(2.9))).toBe(3);
    expect(valueAt(speed, at(6.1))).toBeNaN();
    expect(valueAt(speed, at(-1))).toBeNaN();
    expect(lastAtOrBefore(speed, at(8))).toBe(2);
  });

  it('show no change over 1.5 of its intervals, at most 1.5 s', () => {
    expect(speed.proofGapMs).toBe(1500);
    expect(samplesOf(evidenceOf([{ t: 0, speedKph: 1 }], { cadence: { usualMs: 100 } }), 'speedKph').proofGapMs).toBe(
      150,
    );
    const slow = samplesOf(evidenceOf([{ t: 0, speedKph: 1 }], { cadence: { usualMs: 5000 } }), 'speedKph');
    expect(slow).toMatchObject({ proofGapMs: 1500, standsMs: 15_000 });
  });

  it('are none where it was never reported', () => {
    expect(samplesOf(evidence, 'gear').times).toEqual([]);
  });
});

describe('samples of a signal that is sent as it changes', () => {
  const rows = [
    { t: 0, gear: 0, acceleratorPct: 0 },
    { t: 10, engineRpm: 700 },
    { t: 20, acceleratorPct: 8 },
    { t: 22, acceleratorPct: 0 },
    { t: 25, acceleratorPct: 8 },
    { t: 26, engineRpm: 710 },
    { t: 200, engineRpm: 650 },
    { t: 201, acceleratorPct: 0 },
  ];
  const pedal = samplesOf(evidenceOf(rows, { cadence: { mode: 'change-only' } }), 'acceleratorPct');

  it('lie at every row over which the value stands, and just before each change', () => {
    const shown = seconds(pedal.times).map((time, i) => [time, pedal.values[i]]);
    expect(shown).toEqual([
      [0, 0],
      [10, 0],
      [17, 0],
      [20, 8],
      [22, 0],
      [25, 8],
      [26, 8],
      [201, 0],
    ]);
  });

  it('end with a silence of the vehicle of more than 90 s', () => {
    expect(valueAt(pedal, at(150))).toBeNaN();
    expect(valueAt(pedal, at(110))).toBe(8);
  });

  it('leave open what lies below the smallest change that the source reports', () => {
    expect(pedal.silentBelow).toBe(8);
    const few = evidenceOf([{ t: 0, acceleratorPct: 0 }], { cadence: { mode: 'change-only' } });
    expect(samplesOf(few, 'acceleratorPct').silentBelow).toBe(1);
  });
});
