import { describe, expect, it } from 'vitest';
import { FleetTracker } from './fleet.ts';
import { couple, Drive, road, uncouple } from './testing/drive.ts';
import { nextValidMs, type Vehicle, validAt } from './vehicle.ts';

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

describe('the tracker follows the entry of the date of the rows', () => {
  const found = (vehicles: Vehicle[], start = Date.UTC(2026, 2, 2, 6)) => {
    const coupled = road(couple(road(new Drive(start), 60), 60, 160), 160);
    const drive = road(uncouple(coupled, 160, 60, 40), 60);
    const kinds: string[] = [];
    const fleet = new FleetTracker({
      vehicles,
      onEpisode: (e) => kinds.push(`${e.kind} ${e.evidence.learned.loaded}`),
    });
    for (const row of drive.rows) fleet.accept('T-1', row.timeMs, row.driverId, row.values, 0);
    fleet.finish();
    return kinds.map((kind) => kind.replace('null', 'unknown'));
  };
  const loaded = (kpa: number) => ({ levels: { loadedKpa: kpa } });

  it('not one that holds later', () => {
    const spring = { vehicleId: 'T-1', driveSuspension: 'spring', validFrom: '2027-01-01' } as const;
    expect(found([{ vehicleId: 'T-1', ...loaded(400) }, spring])).toEqual(['coupling 400', 'uncoupling 400']);
    expect(found([spring])).toEqual(['coupling unknown', 'uncoupling unknown']);
  });

  it('a new one from its first day on, in the midst of the rows', () => {
    const entries = [
      { vehicleId: 'T-1', ...loaded(400) },
      { vehicleId: 'T-1', ...loaded(420), validFrom: '2026-03-02' },
    ];
    expect(found(entries, Date.UTC(2026, 2, 1, 23, 50))).toEqual(['coupling 400', 'uncoupling 420']);
  });

  it('and knows when the next one begins', () => {
    const entries = [{ vehicleId: 'T-1', validFrom: '2026-04-01' }, { vehicleId: 'T-1' }];
    expect(nextValidMs(entries, Date.UTC(2026, 2, 5))).toBe(Date.UTC(2026, 3, 1));
    expect(nextValidMs(entries, Date.UTC(2026, 3, 1))).toBe(Number.POSITIVE_INFINITY);
  });
});
