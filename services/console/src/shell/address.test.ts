import { expect, it } from 'vitest';
import { addressText, episodeAddress, readAddress } from './address.ts';

it('reads what it wrote', () => {
  const text = addressText('/', { site: 'meadow & lot', check: '', driver: undefined });
  expect(text).toBe('/?site=meadow+%26+lot');
  expect(readAddress('/', text.slice(1))).toEqual({ path: '/', query: { site: 'meadow & lot' } });
});

it('keeps an id whole within a path', () => {
  expect(episodeAddress('a/b?c', 'tug-test-count')).toBe('/episodes/a%2Fb%3Fc?check=tug-test-count');
});
