import { describe, expect, it } from 'vitest';
import { Intervals } from './intervals.ts';

function seen(...lengths: number[]): Intervals {
  const intervals = new Intervals();
  for (const length of lengths) intervals.observe(length);
  return intervals;
}

describe('intervals between reports', () => {
  it('keep a beat with jitter and the odd sample lost', () => {
    const jittered = Array.from({ length: 40 }, (_, i) => 900 + 50 * (i % 5));
    expect(seen(...jittered, 2000, 2000).keepBeat).toBe(true);
  });

  it('keep none where rests cover the time, however many short ones there are', () => {
    expect(seen(...Array.from({ length: 40 }, () => 500), 30_000, 30_000).keepBeat).toBe(false);
  });

  it('come back whole from their state as JSON', () => {
    const intervals = seen(500, 500, 1000, 30_000);
    const back = Intervals.resume(JSON.parse(JSON.stringify(intervals.state())));
    expect(back.state()).toEqual(intervals.state());
    back.observe(500);
    intervals.observe(500);
    expect(back.state()).toEqual(intervals.state());
  });

  it('say nothing before there are any', () => {
    expect(seen().keepBeat).toBe(false);
  });
});
