import { describe, expect, it } from 'vitest';
import { springsOf } from './springs.ts';
import { tolerance } from './tolerance.ts';

describe('what the springs carry', () => {
  it('is all of a gauge pressure', () => {
    expect(springsOf('suspensionKpa', 40, 60).unsprung).toBe(0);
  });

  it('is what lies above exhausted springs, once these were seen below bobtail', () => {
    const springs = springsOf('axleLoadKg', 3600, 5400);
    expect(springs.unsprung).toBe(3600);
    expect(springs.emptyAt).toBeGreaterThan(3700);
    expect(springs.emptyAt).toBeLessThan(4200);
  });

  it('takes no bobtail level for that of exhausted springs', () => {
    const springs = springsOf('axleLoadKg', 5300, 5400);
    expect(springs.emptyAt).toBe(Number.NEGATIVE_INFINITY);
    expect(springs.unsprung).toBeLessThan(3600);
  });

  it('knows nothing before a level stood', () => {
    const springs = springsOf('axleLoadKg', Number.POSITIVE_INFINITY, null);
    expect(springs.unsprung).toBe(0);
    expect(springs.emptyAt).toBe(Number.NEGATIVE_INFINITY);
  });

  it('tells an empty trailer from none by what the springs carry, where shares of the whole axle load would not', () => {
    const whole = tolerance('axleLoadKg', 0, 0);
    const sprung = tolerance('axleLoadKg', 0, 0, springsOf('axleLoadKg', 3600, 9800).unsprung);
    expect(whole.distinct(9800, 10_600)).toBeGreaterThan(800);
    expect(sprung.distinct(9800, 10_600)).toBeLessThan(800);
  });
});
