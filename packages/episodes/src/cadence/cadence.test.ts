import { signalCount, signalIndex } from '@gearhold/signals';
import { describe, expect, it } from 'vitest';
import { CadenceLearner, cadenceState } from './cadence.ts';

function row(signals: Record<string, number>): Float64Array {
  const values = new Float64Array(signalCount).fill(Number.NaN);
  for (const [name, value] of Object.entries(signals)) values[signalIndex[name as 'gear']] = value;
  return values;
}

describe('the cadence of a signal', () => {
  it('is periodic where every row repeats it', () => {
    const learner = new CadenceLearner();
    for (let i = 0; i < 60; i++) learner.observe(i * 1000, row({ speedKph: 0, engineRpm: 600 + (i % 3) }), 0);
    expect(learner.of('speedKph')).toEqual({ mode: 'periodic', usualMs: 1000 });
  });

  it('is periodic where each signal has rows of its own, at regular intervals', () => {
    const learner = new CadenceLearner();
    for (let i = 0; i < 90; i++)
      learner.observe(i * 500, i % 2 === 0 ? row({ speedKph: 0 }) : row({ parkingBrake: 1 }), 0);
    expect(learner.of('parkingBrake')).toEqual({ mode: 'periodic', usualMs: 1000 });
  });

  it('is change-only where it comes only when it differs, heartbeats in between', () => {
    const learner = new CadenceLearner();
    let time = 0;
    for (let i = 0; i < 40; i++) {
      time += 700 + 300 * (i % 4);
      learner.observe(time, row({ engineRpm: 600 + i }), 0);
      if (i % 5 !== 4) continue;
      time += 30_000;
      learner.observe(time, row({ gear: i % 2 }), 0);
    }
    expect(learner.of('gear').mode).toBe('change-only');
  });

  describe('of a source that sends changes, and everything again in its heartbeats', () => {
    /** A yard hour: the engine hums, the gear changes seldom, the brake never; a heartbeat after 30 s without a change. */
    function learned(rounds: number): CadenceLearner {
      const learner = new CadenceLearner();
      let time = 0;
      learner.observe(time, row({ engineRpm: 600, gear: 0, parkingBrake: 1, speedKph: 0 }), 0);
      for (let i = 0; i < rounds; i++) {
        for (let k = 0; k < 8; k++) {
          time += 500 * (1 + ((i + k) % 3));
          learner.observe(time, row({ engineRpm: 600 + ((7 * i + k) % 40) }), 0);
        }
        time += 500;
        learner.observe(time, row({ gear: (i % 3) - 1, speedKph: i % 2 }), 0);
        time += 30_000;
        learner.observe(time, row({ engineRpm: 602, gear: (i % 3) - 1, parkingBrake: 1, speedKph: i % 2 }), 0);
      }
      return learner;
    }

    it('takes no heartbeat for the beat of a periodic signal', () => {
      for (const signal of ['engineRpm', 'gear', 'speedKph'] as const)
        expect(learned(20).of(signal).mode).toBe('change-only');
    });

    it('takes a signal that never changed for one that is sent on change, as the others are', () => {
      expect(learned(20).of('parkingBrake').mode).toBe('change-only');
    });

    it('knows the same after its state went through JSON', () => {
      const learner = learned(20);
      const back = CadenceLearner.resume(cadenceState.parse(JSON.parse(JSON.stringify(learner.state()))));
      for (const signal of ['engineRpm', 'gear', 'parkingBrake'] as const)
        expect(back.of(signal)).toEqual(learner.of(signal));
      expect(back.state()).toEqual(learner.state());
    });

    it('knows nothing of it before enough rows went by', () => {
      expect(learned(1).of('parkingBrake').mode).toBe('unknown');
    });
  });

  it('is change-only where it came at a beat only while it changed', () => {
    const learner = new CadenceLearner();
    const send = (stretch: number, from: number, stepMs: number, value: (i: number) => Record<string, number>) => {
      for (let i = 0; i < stretch; i++) learner.observe(from + i * stepMs, row(value(i)), 0);
    };
    send(60, 0, 500, (i) => ({ speedKph: 20 + i }));
    send(40, 30_000, 5000, (i) => ({ engineRpm: 600 + i }));
    send(35, 230_000, 500, (i) => ({ speedKph: 1 + i }));
    expect(learner.of('speedKph').mode).toBe('change-only');
  });

  it('is periodic where it comes, and changes, only in rows that carry everything', () => {
    const learner = new CadenceLearner();
    for (let i = 0; i < 300; i++) {
      const fast = { speedKph: i % 4, gear: 1 };
      learner.observe(i * 1000, row(i % 10 === 0 ? { ...fast, suspensionKpa: 100 + i, axleLoadKg: i } : fast), 0);
    }
    expect(learner.of('suspensionKpa')).toEqual({ mode: 'periodic', usualMs: 10_000 });
  });

  it('is unknown after two reports', () => {
    const learner = new CadenceLearner();
    learner.observe(0, row({ gear: 1 }), 0);
    learner.observe(1000, row({ gear: 2 }), 0);
    expect(learner.of('gear').mode).toBe('unknown');
  });
});
