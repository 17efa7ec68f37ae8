import { describe, expect, it } from 'vitest';
import { LateGate } from './late.ts';

const hour = 3_600_000;
const judge = (times: number[], boundMs = 30_000) => {
  const gate = new LateGate(boundMs);
  return times.map((t) => gate.accept(t));
};

describe('LateGate', () => {
  it('refuses rows more than the bound behind the newest', () => {
    expect(judge([0, 1000, 50_000, 20_000, 19_999])).toEqual([true, true, true, true, false]);
  });

  it('is not misled by one row of a clock that jumped ahead by years', () => {
    expect(judge([0, 1000, 1e12, 2000, 3000, 40_000, 9000])).toEqual([true, true, true, true, true, true, false]);
  });

  it('follows a jump once a second row within an hour of it confirms it', () => {
    expect(judge([0, 1000, 100 * hour, 2000, 101 * hour, 3000])).toEqual([true, true, true, true, true, false]);
  });

  it('refutes a jump of hours once two rows carry the old time on, and not before', () => {
    const gate = new LateGate(30_000);
    const jumpMs = 5 * hour;
    for (const t of [0, 1000, jumpMs, 500, 2000]) expect(gate.accept(t)).toBe(true);
    expect(gate.isUnsettled(jumpMs)).toBe(true);
    expect(gate.accept(3000)).toBe(true);
    expect(gate.isUnsettled(jumpMs)).toBe(false);
    expect(gate.newestMs).toBe(3000);
  });

  it('does not refute a jump by rows that would not be late after it', () => {
    const gate = new LateGate(10 * hour);
    for (const t of [0, 1000, 5 * hour, 2000, 3000, 4000]) gate.accept(t);
    expect(gate.isUnsettled(5 * hour)).toBe(true);
  });

  it('does not take a repeat of the same instant for a confirmation', () => {
    expect(judge([0, 1000, 1e12, 1e12, 2000])).toEqual([true, true, true, true, true]);
  });

  it('does not let a first row with a wrong clock decide: two rows must agree', () => {
    expect(judge([1e12, 0, 1000, 2000, 60_000, 1000])).toEqual([true, true, true, true, true, false]);
    expect(judge([0, 1e12, 1e12 + 1000, 1e12 + 60_000])).toEqual([true, true, true, true]);
  });

  it('gives the accepted rows the same verdicts again', () => {
    const times = [0, 1000, 1e12, 50_000, 3000, 1e12 + 5, 60_000, 1e12 + 40_000, 1e12 + 1];
    const verdicts = judge(times);
    const accepted = times.filter((_, i) => verdicts[i]);
    expect(judge(accepted).every(Boolean)).toBe(true);
  });

  it('holds a bounded number of unconfirmed jumps', () => {
    const gate = new LateGate(0);
    for (let i = 0; i < 1000; i++) gate.accept(i * 30 * hour);
    expect(gate.oldestAcceptedMs).toBeGreaterThan(900 * 30 * hour);
  });

  it('refuses a bound that is not one', () => {
    expect(() => new LateGate(-1)).toThrow(RangeError);
    expect(() => new LateGate(Number.NaN)).toThrow(RangeError);
  });
});
