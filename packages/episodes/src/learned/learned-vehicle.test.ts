import { describe, expect, it } from 'vitest';
import { FleetTracker } from '../fleet.ts';
import { couple, Drive, road, uncouple } from '../testing/drive.ts';
import type { Vehicle } from '../vehicle.ts';
import { contradictions, type LearnedVehicle } from './learned-vehicle.ts';

/** Two empty trailers and two loaded ones, taken and left, by a tractor of 60 kPa. */
function fourTrailers(): Drive {
  const drive = road(new Drive(), 60);
  for (const level of [160, 420, 162, 424]) {
    road(couple(drive, 60, level), level);
    road(uncouple(drive, level, 60, 40), 60);
  }
  return drive;
}

function learn(drive: Drive, vehicle: Partial<Vehicle> = {}): LearnedVehicle {
  const fleet = new FleetTracker({ vehicles: [{ vehicleId: 'T-1', ...vehicle }], onEpisode: () => {} });
  for (const row of drive.rows) fleet.accept('T-1', row.timeMs, row.driverId, row.values, 0);
  return fleet.finishVehicle('T-1')!;
}

describe('what was learned of a vehicle', () => {
  it('is known at the end of its rows: levels, sensors and how each signal is sent', () => {
    const { learned, seen, loadSignal, cadence } = learn(fourTrailers());
    expect(loadSignal).toBe('suspensionKpa');
    expect(learned.bobtail).toBeCloseTo(60, 0);
    expect(learned.empty).toBeCloseTo(161, -1);
    expect(learned.loaded).toBeCloseTo(422, -1);
    expect(learned.idleRpm).toBe(600);
    expect(learned.releasedPedalPct).toBe(0);
    expect(seen.bobtailTransfers).toBeGreaterThanOrEqual(4);
    expect(cadence('suspensionKpa')).toEqual({ mode: 'periodic', usualMs: 1000 });
    expect(cadence('rideHeightMm').mode).toBe('unknown');
  });

  it('can be asked for while rows still come, and is gone once the vehicle is finished', () => {
    const fleet = new FleetTracker({ onEpisode: () => {} });
    expect(fleet.learned('T-1')).toBeNull();
    for (const row of road(new Drive(), 60).rows) fleet.accept('T-1', row.timeMs, row.driverId, row.values, 0);
    expect(fleet.learned('T-1')?.learned.bobtail).toBeNull();
    expect(fleet.finishVehicle('T-1')?.loadSignal).toBe('suspensionKpa');
    expect(fleet.learned('T-1')).toBeNull();
    expect(fleet.finishVehicle('T-1')).toBeNull();
  });

  it('knows no load signal where pressure comes from steel springs', () => {
    expect(learn(fourTrailers(), { driveSuspension: 'spring' }).loadSignal).toBeNull();
  });
});

describe('a stated figure is contradicted', () => {
  it('where the level without a trailer is another one', () => {
    const found = contradictions(learn(fourTrailers(), { levels: { bobtailKpa: 110 } }));
    expect(found).toHaveLength(1);
    expect(found[0]).toMatchObject({ figure: 'bobtailKpa', stated: 110 });
    expect(found[0]!.seen).toBeCloseTo(60, 0);
  });

  it('where trailers were lighter than empty or heavier than full', () => {
    const found = contradictions(learn(fourTrailers(), { levels: { bobtailKpa: 60, emptyKpa: 220, loadedKpa: 340 } }));
    expect(found.map(({ figure }) => figure)).toEqual(['emptyKpa', 'loadedKpa']);
    expect(found[0]!.seen).toBeCloseTo(161, -1);
    expect(found[1]!.seen).toBeCloseTo(422, -1);
  });

  it('by no trailer between empty and full', () => {
    expect(
      contradictions(learn(fourTrailers(), { levels: { bobtailKpa: 62, emptyKpa: 120, loadedKpa: 500 } })),
    ).toEqual([]);
  });

  it('where the speed sensor shows slower speeds than it is said to, or none nearly as slow', () => {
    const creep = (kph: number) => fourTrailers().for(60, { speedKph: kph, gear: 1, suspensionKpa: 60 });
    const stated = { blindSpeedKph: 3.5 };
    expect(contradictions(learn(creep(1), stated))).toEqual([
      { figure: 'blindSpeedKph', stated: 3.5, seen: 1, times: null },
    ]);
    expect(contradictions(learn(fourTrailers(), { blindSpeedKph: 0.5 }))).toMatchObject([
      { figure: 'blindSpeedKph', seen: 2 },
    ]);
    expect(contradictions(learn(fourTrailers(), { blindSpeedKph: 1.8 }))).toEqual([]);
  });
});
