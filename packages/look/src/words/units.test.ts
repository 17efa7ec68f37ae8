import { expect, it } from 'vitest';
import { boundUnits, figureText, inUnits } from './units.ts';

it('converts to psi, mph, feet, inches and pounds', () => {
  expect(inUnits(100, 'kPa', 'us').value).toBeCloseTo(14.503774, 6);
  expect(inUnits(100, 'km/h', 'us').value).toBeCloseTo(62.137119, 6);
  expect(inUnits(1, 'm', 'us').value).toBeCloseTo(3.28084, 5);
  expect(inUnits(25.4, 'mm', 'us').value).toBeCloseTo(1, 12);
  expect(inUnits(1, 'kg', 'us').value).toBeCloseTo(2.2046226, 6);
  expect(inUnits(30, 's', 'us')).toEqual({ value: 30, unit: 's' });
  expect(inUnits(100, 'kPa', 'metric')).toEqual({ value: 100, unit: 'kPa' });
});

it('writes a figure short', () => {
  expect([0, -0.01, 2, 2.34, 99.96, 123.4].map(figureText)).toEqual(['0', '0', '2', '2.3', '100', '123']);
});

it('binds a figure to its unit and to nothing else', () => {
  expect(boundUnits('at 14 % for 2.1 s, 150 r/min; 2 stops in 30 s.')).toBe(
    'at 14\u00a0% for 2.1\u00a0s, 150\u00a0r/min; 2 stops in 30\u00a0s.',
  );
  expect(boundUnits('2 more 3 sites')).toBe('2 more 3 sites');
});
