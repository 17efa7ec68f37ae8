import { expect, test } from 'vitest';
import type { Coupling } from '../episode.ts';
import { FleetTracker } from '../fleet.ts';
import { couple, Drive, road, rolling, stand, uncouple } from '../testing/drive.ts';

const braked = { ...rolling, speedKph: 0, gear: -1, serviceBrake: 1, torquePct: 4 };
const creeping = { ...rolling, speedKph: 0, gear: -1, torquePct: 7 };

/** A truck whose levels are known, alone again: 60 kPa without a trailer, 160 with one. */
function alone(): Drive {
  const drive = road(couple(road(new Drive(), 60), 60, 160), 160);
  return road(uncouple(drive, 160, 60, 20), 60);
}

function lastCoupling(drive: Drive, liftAxle: boolean): Coupling {
  const found: Coupling[] = [];
  const fleet = new FleetTracker({
    vehicles: [{ vehicleId: 'T-1', liftAxle }],
    onEpisode: (episode) => {
      if (episode.kind === 'coupling') found.push(episode);
    },
  });
  for (const row of road(drive, 160).rows) fleet.accept('T-1', row.timeMs, row.driverId, row.values, 0);
  fleet.finish();
  expect(found).toHaveLength(2);
  return found[1];
}

/** Legs up at standstill, minutes after the backing, and off. */
function loadLater(drive: Drive, from: number): Drive {
  stand(drive, from, 120);
  stand(drive, (share) => from + (160 - from) * share, 30);
  return stand(drive, 160, 60);
}

test('the last run begins where the brakes were let go in reverse, though the wheel sensor saw only its end', () => {
  const drive = stand(alone(), 60, 30);
  const letGo = drive.timeMs;
  drive.for(15, { ...creeping, suspensionKpa: 60 });
  drive.for(2, { ...braked, suspensionKpa: 60 });
  drive.for(10, { ...creeping, suspensionKpa: 60 });
  drive.for(3, { ...rolling, speedKph: 3, gear: -1, suspensionKpa: (share) => 60 + 40 * share });
  stand(drive, (share) => 160 - 70 * Math.exp(-8 * share), 60);
  const { approachTime } = lastCoupling(drive, false).milestones;
  expect(Math.abs(approachTime!.best - letGo)).toBeLessThan(2000);
  expect(approachTime!.low).toBeLessThanOrEqual(letGo);
  expect(approachTime!.high).toBeGreaterThan(letGo + 20_000);
});

test('a brake held long enough for a standstill of 3 s begins another run', () => {
  const drive = stand(alone(), 60, 30);
  drive.for(15, { ...creeping, suspensionKpa: 60 });
  drive.for(8, { ...braked, suspensionKpa: 60 });
  const letGo = drive.timeMs;
  drive.for(10, { ...creeping, suspensionKpa: 60 });
  drive.for(3, { ...rolling, speedKph: 3, gear: -1, suspensionKpa: (share) => 60 + 40 * share });
  stand(drive, (share) => 160 - 70 * Math.exp(-8 * share), 60);
  const { approachTime } = lastCoupling(drive, false).milestones;
  expect(approachTime!.low).toBeGreaterThan(letGo - 2500);
  expect(Math.abs(approachTime!.best - letGo)).toBeLessThan(2000);
});

test('an unseen backing after a seen one is the last run, where the load comes only later', () => {
  const drive = stand(alone(), 60, 30);
  drive.for(10, { ...rolling, speedKph: 4, gear: -1, suspensionKpa: 60 });
  stand(drive, 60, 60);
  const letGo = drive.timeMs;
  drive.for(12, { ...creeping, suspensionKpa: 60 });
  const home = drive.timeMs;
  drive.for(10, { ...braked, suspensionKpa: 60 });
  const { approachTime, seatedTime } = lastCoupling(loadLater(drive, 60), false).milestones;
  expect(Math.abs(approachTime!.best - letGo)).toBeLessThan(2000);
  expect(Math.abs(seatedTime!.best - home)).toBeLessThan(2000);
  // Whether it moved then at all no sensor shows: the milestones stay open back to the one that was seen.
  expect(approachTime!.low).toBeLessThan(letGo - 60_000);
  expect(seatedTime!.low).toBeLessThan(letGo - 50_000);
});

test('what a lift axle adds in reverse gear is no trailer: contact stays open until more comes on', () => {
  const drive = stand(alone(), 60, 30);
  drive.for(20, { ...creeping, suspensionKpa: 78 });
  stand(drive, 78, 60);
  drive.for(10, { ...creeping, suspensionKpa: 78 });
  const home = drive.timeMs;
  drive.for(6, { ...braked, suspensionKpa: 78 });
  const { contactTime, seatedTime } = lastCoupling(loadLater(drive, 78), true).milestones;
  expect(Math.abs(seatedTime!.best - home)).toBeLessThan(2000);
  expect(contactTime!.low).toBeLessThan(home - 60_000);
  expect(contactTime!.high).toBeGreaterThan(home + 100_000);
  expect(contactTime!.best).toBeGreaterThan(home + 100_000);
});
