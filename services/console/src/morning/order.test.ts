import { expect, it } from 'vitest';
import { pageFrom } from './order.ts';

it('goes on and back in the order of the list, and nowhere from its ends or from elsewhere', () => {
  const order = { list: '/', pages: ['/a', '/b'] };
  expect(pageFrom(order, '/a', 1)).toBe('/b');
  expect(pageFrom(order, '/b', -1)).toBe('/a');
  expect(pageFrom(order, '/b', 1)).toBeNull();
  expect(pageFrom(order, '/a', -1)).toBeNull();
  expect(pageFrom(order, '/c', 1)).toBeNull();
});
