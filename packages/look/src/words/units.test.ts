import { expect, it } from 'vitest';
import { figureText, inUnits } from './units.ts';

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
