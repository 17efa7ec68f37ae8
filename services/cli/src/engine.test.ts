import { describe, expect, it } from 'vitest';
import { validAt } from './engine.ts';

describe('of several entries of one vehicle', () => {
  const early = { vehicleId: 'T-1', terminal: 'early' };
  const march = { vehicleId: 'T-1', terminal: 'march', validFrom: '2026-03-02' };
  const april = { vehicleId: 'T-1', terminal: 'april', validFrom: '2026-04-01' };
  const at = (time: string, entries = [april, early, march]) => validAt(entries, Date.parse(time))?.terminal;

  it('the latest one holds that is not after the episode', () => {
    expect(at('2026-03-01T23:59:59Z')).toBe('early');
    expect(at('2026-03-02T00:00:00Z')).toBe('march');
    expect(at('2026-05-01T00:00:00Z')).toBe('april');
  });

  it('none holds before the first', () => {
    expect(at('2026-03-01T00:00:00Z', [april, march])).toBeUndefined();
    expect(validAt([], 0)).toBeNull();
  });

  it('the last in the file holds of two with one date', () => {
    expect(at('2026-03-05T00:00:00Z', [march, { ...march, terminal: 'again' }])).toBe('again');
  });
});
