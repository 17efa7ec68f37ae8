import type { Outcome, WireCheck } from '@gearhold/policy';
import { expect, it } from 'vitest';
import { drawEvidenceBar } from './characters.ts';
import { checkBar } from './check-bar.ts';

const pause = (outcome: Outcome, low: number | null, high: number | null): WireCheck => ({
  check: 'gear-hold-pause',
  outcome,
  measured: { value: low ?? 0, low, high, unit: 's' },
  limit: { minSeconds: 30, dumpedPause: 'either', underMetres: 2, clearMetres: 3 },
  window: null,
  concern: 'driver',
  urgency: 'routine',
  reason: '',
  reasonParts: { text: '', values: {} },
});
function draw(check: WireCheck, units: 'metric' | 'us' = 'metric'): string[] | null {
  const bar = checkBar(check, units);
  return bar && drawEvidenceBar(bar, 40);
}

it('holds a pause against the least that is asked', () => {
  expect(draw(pause('missed', 0, 2))).toEqual([
    '                         30 s',
    '0 ├██┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┃┄┄┄┄┄┄┄┤ 40 s',
  ]);
});

it('is hatched wherever the outcome is undetermined, whatever the figures say', () => {
  expect(draw(pause('undetermined', 0, 2))?.[1]).toBe('0 ├╱╱┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┃┄┄┄┄┄┄┄┤ 40 s');
});

it('picks the limit in the unit of what was measured', () => {
  const limit = { maxAcceleratorPct: 2, sustainedSeconds: 1, maxRpmAboveIdle: 150 };
  const check = { ...pause('missed', 300, 320), limit, measured: { value: 300, low: 300, high: 320, unit: 'r/min' } };
  expect(draw(check)).toEqual(['        150 r/min', '0 ├┄┄┄┄┄┄┄┄┄┃┄┄┄┄┄┄┄┄┄██┄┄┄┄┄┤ 400 r/min']);
});

it('draws metres in feet for a reader in US units', () => {
  const check = { ...pause('met', 3, 4), limit: { maxMetres: 6 }, measured: { value: 3, low: 3, high: 4, unit: 'm' } };
  expect(draw(check, 'us')).toEqual(['                   19.7 ft', '0 ├┄┄┄┄┄┄┄┄┄╞═══╡┄┄┄┄┄┃┄┄┄┄┄┄┄┄┄┄┤ 30 ft']);
});

it('counts without a unit', () => {
  const check = { ...pause('missed', 0, 1), limit: { minCount: 2, withinSeconds: 120 } };
  expect(draw({ ...check, measured: { value: 1, low: 0, high: 1, unit: 'count' } })?.[1]).toMatch(/^0 ├█+┄+┃┄+┤ 3$/);
});

it('is open at both ends where nothing was measured', () => {
  const check = { ...pause('undetermined', null, null), measured: null };
  expect(draw(check)?.[1]).toBe('0 ├◂╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱┃╱╱╱╱╱╱▸┤ 40 s');
});

it('is left out where the policy states no figure', () => {
  expect(draw({ ...pause('undetermined', null, null), measured: null, limit: {} })).toBeNull();
});

it('says in words what it draws', () => {
  const said = (check: WireCheck, units: 'metric' | 'us' = 'metric') => checkBar(check, units)?.said;
  expect(said(pause('missed', 0, 2))).toBe('0 to 2 s; at least 30 s is asked');
  expect(said(pause('met', 45, null))).toBe('45 s or more; at least 30 s is asked');
  expect(said({ ...pause('undetermined', null, null), measured: null })).toBe('not known; at least 30 s is asked');
  const speed = {
    ...pause('missed', 9, 9),
    limit: { maxKph: 8 },
    measured: { value: 9, low: 9, high: 9, unit: 'km/h' },
  };
  expect(said(speed, 'us')).toBe('5.6 mph; at most 5 mph is asked');
  const lamps = { ...pause('missed', 0, 0), limit: {}, measured: { value: 0, low: 0, high: 0, unit: '0/1' } };
  expect(said(lamps)).toBe('no; yes is asked');
});
