import type { WireCheck, WireEpisode } from '@gearhold/policy';
import { expect, it } from 'vitest';
import { severitiesOf } from './severity.ts';

function severity(limit: WireCheck['limit'], low: number, high: number, unit: string, confidence = 1): number {
  const measured = { value: low, low, high, unit };
  const checks = [
    { check: 'it', outcome: 'missed', measured, limit },
    { check: 'other', outcome: 'met' },
  ];
  const severities = severitiesOf({ confidence, checks } as unknown as WireEpisode);
  expect(Object.keys(severities)).toEqual(['it']);
  return severities.it!;
}

it('is how far the nearest bound lies beyond the limit, as a share of it', () => {
  expect(severity({ minSeconds: 30 }, 0, 0, 's')).toBe(1);
  expect(severity({ minSeconds: 30 }, 4, 24, 's')).toBeCloseTo(0.2);
  expect(severity({ maxAcceleratorPct: 2, sustainedSeconds: 1 }, 2.5, 4, '%')).toBeCloseTo(0.25);
  expect(severity({ maxAcceleratorPct: 2, sustainedSeconds: 1 }, 40, 40, '%')).toBe(1);
});

it('is the smaller, the less sure the episode is', () => {
  expect(severity({ minSeconds: 30 }, 0, 0, 's', 0.9)).toBeCloseTo(0.9);
});

it('is whole for a step that was not taken, or that no limit is stated for', () => {
  expect(severity({ withinMetres: 15 }, 0, 0, '0/1')).toBe(1);
  expect(severity({}, 5, 5, 'km/h')).toBe(1);
  expect(severity({ maxKph: 0 }, 5, 5, 'km/h')).toBe(1);
});
