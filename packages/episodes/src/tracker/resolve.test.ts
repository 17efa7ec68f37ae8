import { expect, test } from 'vitest';
import type { Episode } from '../episode.ts';
import { FleetTracker } from '../fleet.ts';
import { couple, Drive, road, rolling, stand, uncouple } from '../testing/drive.ts';

function track(drive: Drive): Episode[] {
  const found: Episode[] = [];
  const fleet = new FleetTracker({ onEpisode: (episode) => found.push(episode) });
  for (const row of drive.rows) fleet.accept('T-1', row.timeMs, row.driverId, row.values, 0);
  fleet.finish();
  return found;
}

/** An empty and a loaded trailer taken and left: 60 kPa alone, 160 and 420 with one. */
function worked(): Drive {
  let drive = road(new Drive(), 60);
  for (const coupled of [160, 420, 160]) {
    drive = road(uncouple(road(couple(drive, 60, coupled), coupled), coupled, 60, 20), 60);
  }
  return drive;
}

test('a trailer is not left twice: springs that let go of the rest a little later are no second uncoupling', () => {
  const drive = road(couple(worked(), 60, 420), 420);
  stand(drive, 420, 120);
  const pulls = drive.timeMs;
  drive.for(4, { ...rolling, speedKph: 3, gear: 1, suspensionKpa: (share) => 420 - 200 * share });
  drive.for(6, { ...rolling, speedKph: 4, gear: 1, suspensionKpa: (share) => 220 - 80 * share });
  // A suspension that levels only with the parking brake off.
  stand(drive, 140, 14);
  drive.for(12, { ...rolling, speedKph: (s) => 2 + 6 * s, gear: 1, suspensionKpa: (s) => 130 - 70 * s });
  const last = track(road(drive, 60)).slice(6);
  expect(last.map(({ kind }) => kind)).toEqual(['coupling', 'uncoupling']);
  expect(last[1].levelBefore).toBeCloseTo(420, -1);
  expect(Math.abs(last[1].loadTransferTime.best - pulls)).toBeLessThan(10_000);
});

/** Takes a trailer of which the backing puts on `share` of the load and the legs, minutes later, the rest. */
function takenInTwo(share: number): Episode {
  const drive = stand(worked(), 60, 20);
  const half = 60 + share * 360;
  drive.for(12, { ...rolling, speedKph: 3, gear: -1, suspensionKpa: (s) => 60 + (half - 60) * Math.max(0, 5 * s - 4) });
  stand(drive, half, 90);
  stand(drive, (s) => half + (420 - half) * s, 30);
  stand(drive, 420, 60);
  return track(road(drive, 420))[6];
}

test('where the load rested about half-way, when half was on is a toss, and the confidence says so', () => {
  expect(takenInTwo(0.52)).toMatchObject({ kind: 'coupling' });
  expect(takenInTwo(0.52).confidence).toBeLessThan(0.9);
  expect(takenInTwo(0.48).confidence).toBeLessThan(0.9);
  expect(takenInTwo(0.7).confidence).toBeGreaterThanOrEqual(0.9);
});

/** Takes a trailer whose load comes on somewhere within a silence of so many seconds. */
function takenInSilence(seconds: number): Episode {
  const drive = stand(worked(), 60, 20);
  drive.for(12, { ...rolling, speedKph: 3, gear: -1, suspensionKpa: (s) => 60 + 12 * Math.max(0, 5 * s - 4) });
  stand(drive, 72, 20);
  stand(drive.silence(seconds), 420, 60);
  return track(road(drive, 420))[6];
}

test('the longer the silence in which the load came, the less sure is its instant', () => {
  const [short, middle, long] = [20, 120, 900].map(takenInSilence);
  expect([short.kind, middle.kind, long.kind]).toEqual(['coupling', 'coupling', 'coupling']);
  expect(short.confidence).toBeGreaterThan(0.9);
  expect(middle.confidence).toBeLessThan(0.6);
  expect(long.confidence).toBeLessThan(0.1);
});

test('springs that fill before the backing are not passed off as the trailer: half-way of both may be long before it', () => {
  const drive = road(new Drive(), 120, 60);
  drive.for(2, { ...rolling, speedKph: 0.9, gear: -1, suspensionKpa: 122 });
  stand(drive, (share) => 125 + 120 * share, 40);
  stand(drive, 245, 10);
  const onTo = (share: number) => (share > 0.9 ? 245 + 400 * (share - 0.9) : 245);
  drive.for(22, { ...rolling, speedKph: 1.6, gear: -1, suspensionKpa: onTo });
  const [found] = track(road(stand(drive, 312, 90), 312));
  expect(found!.kind).toBe('coupling');
  expect(found!.confidence).toBeLessThan(0.9);
});
