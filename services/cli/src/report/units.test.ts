import { expect, it } from 'vitest';
import { convert, convertSentence, figureText } from './units.ts';

it('converts to psi, mph, feet, inches and pounds', () => {
  expect(convert(100, 'kPa', 'us').value).toBeCloseTo(14.503774, 6);
  expect(convert(100, 'km/h', 'us').value).toBeCloseTo(62.137119, 6);
  expect(convert(1, 'm', 'us').value).toBeCloseTo(3.28084, 5);
  expect(convert(25.4, 'mm', 'us').value).toBeCloseTo(1, 12);
  expect(convert(1, 'kg', 'us').value).toBeCloseTo(2.2046226, 6);
  expect(convert(30, 's', 'us')).toEqual({ value: 30, unit: 's' });
  expect(convert(100, 'kPa', 'metric')).toEqual({ value: 100, unit: 'kPa' });
});

it('converts every figure of a sentence and nothing else', () => {
  expect(convertSentence('stood 15 m short, at 3.2 km/h, 410 kPa, for 4 s', 'us')).toBe(
    'stood 49.2 ft short, at 2 mph, 59.5 psi, for 4 s',
  );
  expect(convertSentence('between 1 and 2.5 m, or 0 to 30 km/h', 'us')).toBe(
    'between 3.3 and 8.2 ft, or 0 to 18.6 mph',
  );
  expect(convertSentence('4 s after 12 min on truck T-5 m', 'us')).toBe('4 s after 12 min on truck T-5 m');
  expect(convertSentence('150 r/min above idle, 2 m/s2', 'us')).toBe('150 r/min above idle, 2 m/s2');
  expect(convertSentence('410 kPa', 'metric')).toBe('410 kPa');
});

it('writes a figure short', () => {
  expect([0, -0.01, 2, 2.34, 99.96, 123.4].map(figureText)).toEqual(['0', '0', '2', '2.3', '100', '123']);
});
