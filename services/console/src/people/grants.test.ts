import { expect, it } from 'vitest';
import { grantsOf, grantsText } from './grants.ts';

function form(fields: Readonly<Record<string, string>>): FormData {
  const data = new FormData();
  for (const [name, value] of Object.entries(fields)) data.set(name, value);
  return data;
}

it('takes an empty list of terminals for all, and an unset box for no', () => {
  expect(grantsOf(form({ role: 'read', terminals: ' ' }))).toEqual({
    scopes: ['read'],
    terminals: null,
    driverNames: false,
  });
});

it('lets who decides look, too', () => {
  const grants = grantsOf(form({ role: 'review', terminals: 'north, south,', driverNames: 'on' }));
  expect(grants).toEqual({ scopes: ['read', 'review'], terminals: ['north', 'south'], driverNames: true });
  expect(grantsText(grants)).toBe('look, decide; terminals north, south');
  expect(grantsText({ ...grants, terminals: null, driverNames: false })).toBe(
    'look, decide; all terminals; drivers not named',
  );
});
