import { signalIndex } from '@gearhold/signals';
import { describe, expect, it } from 'vitest';
import { type Episode, FleetTracker, type Vehicle } from '../index.ts';
import { couple, Drive, dumpAndLeave, road, rolling, stand, uncouple } from '../testing/drive.ts';

function kinds(drive: Drive, vehicle?: Partial<Vehicle>): string[] {
  const found: string[] = [];
  const vehicles = vehicle === undefined ? [] : [{ vehicleId: 'T-1', ...vehicle }];
  const fleet = new FleetTracker({ vehicles, onEpisode: (episode) => found.push(episode.kind) });
  for (const row of drive.rows) fleet.accept('T-1', row.timeMs, row.driverId, row.values, 0);
  fleet.finish();
  return found;
}

/** The same drive on a truck that reports its axle load instead: 3,600 kg with nothing in the springs. */
function inKilograms(drive: Drive): Drive {
  for (const { values } of drive.rows) {
    values[signalIndex.axleLoadKg] = 3600 + 27 * values[signalIndex.suspensionKpa];
    values[signalIndex.suspensionKpa] = Number.NaN;
  }
  return drive;
}

describe('a fall of the load, with nothing known of the truck yet', () => {
  it('is no trailer left where it came from one sample to the next before a wheel turned', () => {
    const drive = stand(road(new Drive(), 150), 150, 60);
    stand(drive, 70, 1);
    drive.for(40, { ...rolling, speedKph: 6, gear: 1, suspensionKpa: 70 });
    expect(kinds(road(drive, 70))).toEqual([]);
  });

  it('is a trailer left where the wheels were already turning', () => {
    const drive = stand(road(new Drive(), 150), 150, 60);
    drive.for(3, { ...rolling, speedKph: 2.5, gear: 1, suspensionKpa: 150 });
    drive.for(40, { ...rolling, speedKph: 6, gear: 1, suspensionKpa: 70 });
    expect(kinds(road(drive, 70))).toEqual(['uncoupling']);
  });

  it('makes of the rise after it no trailer taken, where springs that were emptied at standstill fill after a backing', () => {
    const drive = road(new Drive(), 109, 300);
    stand(drive, (s) => 25 + 84 * Math.exp(-6 * s), 20);
    drive.for(12, { ...rolling, speedKph: 6, gear: 1, suspensionKpa: 25 });
    drive.for(10, { ...rolling, speedKph: 3, gear: -1, suspensionKpa: 25 });
    stand(drive, 25, 30);
    stand(drive, (s) => 109 - 84 * Math.exp(-8 * s), 60);
    expect(kinds(road(drive, 109, 300), { driveAxles: 2, liftAxle: false })).toEqual([]);
  });
});

describe('a fall that no speed accompanies, with no gear reported', () => {
  const fallen = (brake: 0 | 1, torquePct: number): Drive => {
    const drive = new Drive().for(60, { ...rolling, speedKph: 60, suspensionKpa: 170 });
    const still = { speedKph: 0, serviceBrake: 0, acceleratorPct: 0, engineRpm: 600 };
    drive.for(90, { ...still, parkingBrake: 1, torquePct: 4, suspensionKpa: 170 });
    drive.for(6, { ...still, parkingBrake: brake, torquePct, suspensionKpa: (s) => 170 - 90 * s });
    drive.for(40, { ...still, parkingBrake: 1, torquePct: 4, suspensionKpa: 80 });
    return drive.for(120, { ...rolling, speedKph: 30, suspensionKpa: 80 });
  };

  it('is a trailer left where the engine pulled with the brakes off', () => {
    expect(kinds(fallen(0, 25))).toEqual(['uncoupling']);
  });

  it('may be a dock where the brake was set, or the engine did not pull', () => {
    expect(kinds(fallen(1, 25))).toEqual([]);
    expect(kinds(fallen(0, 4))).toEqual([]);
  });
});

describe('a truck that reports its axle load', () => {
  it('is seen to leave and take light trailers, however small a share of the axle load they are', () => {
    const drive = couple(road(new Drive(), 80), 80, 135);
    dumpAndLeave(road(drive, 135), 135, 80, 40);
    couple(road(drive, 80), 80, 135);
    expect(kinds(inKilograms(road(drive, 135)))).toEqual(['coupling', 'uncoupling', 'coupling']);
  });

  it('is not believed to be lightest with exhausted springs: what fills them is no trailer', () => {
    const drive = road(new Drive(), 420);
    dumpAndLeave(drive, 420, 60, 40);
    couple(road(drive, 60), 60, 420);
    dumpAndLeave(road(drive, 420), 420, 60, 40);
    couple(road(drive, 60), 60, 160);
    const found = kinds(inKilograms(road(drive, 160)));
    expect(found.slice(-3)).toEqual(['coupling', 'uncoupling', 'coupling']);
    expect(found.length).toBeLessThanOrEqual(4);
  });
});

describe('a load that is another after its sensor was away', () => {
  const away = (rows: boolean): Drive => {
    const drive = couple(road(new Drive(), 60), 60, 420);
    stand(road(drive, 420), 420, 20);
    if (rows) stand(drive, Number.NaN, 900);
    else drive.silence(900);
    stand(drive, 60, 20);
    return road(drive.for(40, { ...rolling, speedKph: 6, gear: 1, suspensionKpa: 60 }), 60);
  };

  it('is nothing that the truck did, as far as its rows tell', () => {
    expect(kinds(away(true))).toEqual(['coupling']);
  });

  it('is a trailer left, somewhen, where the truck was silent too', () => {
    expect(kinds(away(false))).toEqual(['coupling', 'uncoupling']);
  });
});

it('does not pass the second of two pulls off as the whole: half-way of both was in the first', () => {
  const drive = road(new Drive(), 90);
  for (const level of [173, 473]) uncouple(road(couple(drive, 90, level), level), level, 90, 40);
  road(drive, 90);
  stand(road(couple(drive, 90, 381), 381), 381, 120);
  drive.for(12, { ...rolling, speedKph: 2, gear: 1, suspensionKpa: (s) => Math.max(179, 381 - 1500 * s) });
  stand(drive, 179, 10);
  drive.for(8, { ...rolling, speedKph: 8, gear: 1, suspensionKpa: (s) => Math.max(145, 179 - 400 * s) });
  drive.for(20, { ...rolling, speedKph: 11, gear: 2, suspensionKpa: (s) => Math.max(90, 145 - 200 * s) });
  const found: Episode[] = [];
  const fleet = new FleetTracker({ onEpisode: (episode) => found.push(episode) });
  for (const row of road(drive, 90).rows) fleet.accept('T-1', row.timeMs, row.driverId, row.values, 0);
  fleet.finish();
  const last = found.at(-1)!;
  expect(last.kind).toBe('uncoupling');
  expect(last.levelBefore).toBeLessThan(200);
  expect(last.confidence).toBeLessThan(0.9);
});
