import { expect, it } from 'vitest';
import { render, type Statement } from './statement.ts';

const statement: Statement = {
  text: 'Drove at {speed} for {time} over {way}, {count} times, by {who}.',
  values: {
    speed: { value: 8, unit: 'km/h' },
    time: { value: 2.5, unit: 's' },
    way: { value: 3, unit: 'm' },
    count: { value: 2, unit: 'count' },
    who: 'nobody',
  },
};

it('says a statement in SI as it was measured', () => {
  expect(render(statement)).toBe('Drove at 8 km/h for 2.5 s over 3 m, 2 times, by nobody.');
});

it('says the same in miles and feet', () => {
  expect(render(statement, 'us')).toBe('Drove at 5.0 mph for 2.5 s over 9.8 ft, 2 times, by nobody.');
});

it('says one of a thing as one', () => {
  const tries = (value: number): Statement => ({
    text: '{tries} {tries:try|tries} {tries:was|were} seen.',
    values: { tries: { value, unit: 'count' } },
  });
  expect([0, 1, 2].map((value) => render(tries(value)))).toEqual([
    '0 tries were seen.',
    '1 try was seen.',
    '2 tries were seen.',
  ]);
});

it('refuses a gap that nothing fills', () => {
  expect(() => render({ text: 'At {speed}.', values: {} })).toThrow(/speed/);
  expect(() => render({ text: '{tries:try|tries}', values: {} })).toThrow(/tries/);
});
