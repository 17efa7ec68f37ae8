import { expect, it } from 'vitest';
import { betweenText, clockText } from './clock.ts';

it('tells the second in the zone of the place', () => {
  expect(clockText(Date.parse('2026-03-03T05:42:31.400Z'), 'America/Chicago')).toBe('23:42:31');
});

it('tells an interval, or an instant where the clock cannot tell its ends apart', () => {
  const at = (second: string) => `2026-03-03T05:42:${second}Z`;
  expect(betweenText(at('29.100'), at('33.000'), 'UTC')).toBe('between 05:42:29 and 05:42:33');
  expect(betweenText(at('29.100'), at('29.900'), 'UTC')).toBe('at 05:42:29');
});
