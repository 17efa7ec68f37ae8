import { signalCount, signalIndex } from '@gearhold/signals';
import { describe, expect, it } from 'vitest';
import { CadenceLearner } from './cadence.ts';

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

  it('is unknown after two reports', () => {
    const learner = new CadenceLearner();
    learner.observe(0, row({ gear: 1 }), 0);
    learner.observe(1000, row({ gear: 2 }), 0);
    expect(learner.of('gear').mode).toBe('unknown');
  });
});
