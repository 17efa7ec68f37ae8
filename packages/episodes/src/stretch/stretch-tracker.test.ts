import { describe, expect, it } from 'vitest';
import { couple, Drive, road, stand, uncouple } from '../testing/drive.ts';
import type { Vehicle } from '../vehicle.ts';
import { type Cut, type Stretch, StretchTracker, stretchMs } from './stretch-tracker.ts';

const minutes = (count: number) => count * 60_000;

function live(drive: Drive, options: { start?: Cut; leastMs?: number; entries?: Vehicle[]; afterMs?: number } = {}) {
  const episodes: { kind: string; transferMs: number }[] = [];
  const stretches: Stretch[] = [];
  const { start = null, entries = [], leastMs = minutes(20), afterMs = Number.NEGATIVE_INFINITY } = options;
  const tracker = new StretchTracker({
    vehicleId: 'T-1',
    entries,
    start,
    leastMs,
    onEpisode: ({ kind, loadTransferTime }) => episodes.push({ kind, transferMs: loadTransferTime.best }),
    onStretch: (stretch) => stretches.push(stretch),
  });
  for (const { timeMs, driverId, values } of drive.rows) {
    if (timeMs > afterMs) tracker.accept(timeMs, driverId, values, 0);
  }
  tracker.finish();
  return { tracker, episodes, stretches };
}

/** Four trailers taken and left, half an hour of road between. */
function shift(): Drive {
  const drive = road(new Drive(), 60, 1800);
  for (const level of [160, 420, 162, 424]) {
    road(couple(drive, 60, level), level, 1800);
    road(uncouple(drive, level, 60, 40), 60, 1800);
  }
  return drive;
}

describe('a vehicle on the road', () => {
  it('ends a stretch there once it is long enough, and begins the next at the same row', () => {
    const drive = shift();
    const { stretches, episodes } = live(drive);
    expect(stretches.length).toBeGreaterThanOrEqual(8);
    let begunMs = drive.rows[0]!.timeMs;
    for (const [i, { start, end }] of stretches.entries()) {
      expect(start).toEqual(stretches[i - 1]?.end ?? null);
      expect(end.timeMs - begunMs).toBeGreaterThanOrEqual(minutes(20));
      const row = drive.rows.find(({ timeMs }) => timeMs === end.timeMs)!;
      expect(row.values[0]).toBe(60);
      begunMs = end.timeMs;
    }
    expect(episodes.map(({ kind }) => kind)).toEqual(Array(4).fill(['coupling', 'uncoupling']).flat());
    expect(live(drive, { leastMs: Infinity }).episodes).toEqual(episodes);
  });

  it('keeps few rows in the state, and drivers only while they stand', () => {
    for (const { end } of live(shift()).stretches) {
      expect(end.state.history.times.length).toBeLessThanOrEqual(64);
      expect(end.state.drivers.stints).toHaveLength(1);
      expect(JSON.stringify(end.state).length).toBeLessThan(20_000);
    }
  });

  it('is gone through again from any stretch, with the rows after it and no others', () => {
    const drive = shift();
    const whole = live(drive);
    for (const [i, { end }] of whole.stretches.entries()) {
      const again = live(drive, { start: JSON.parse(JSON.stringify(end)), afterMs: end.timeMs });
      expect(again.stretches).toEqual(whole.stretches.slice(i + 1));
      expect(again.episodes).toEqual(whole.episodes.filter(({ transferMs }) => transferMs > end.timeMs));
      expect(again.tracker.learned()!.learned).toEqual(whole.tracker.learned()!.learned);
      expect(again.tracker.oddities).toEqual(whole.tracker.oddities);
    }
  });
});

it('ends no stretch in a yard, while a trailer is being taken, or before its time', () => {
  expect(live(couple(stand(new Drive(), 60, 3600), 60, 160)).stretches).toEqual([]);
  expect(live(road(new Drive(), 60, 1199)).stretches).toEqual([]);
  const creeping = new Drive().for(7200, { speedKph: 12, gear: 2, suspensionKpa: 60 });
  expect(live(creeping).stretches).toEqual([]);
  expect(stretchMs).toBe(6 * 3_600_000);
});

it('ends none where the load has just left its level, or a sample says so', () => {
  const drive = road(new Drive(), 200, 1210).for(6, { speedKph: 60, gear: 8, suspensionKpa: 90 });
  road(drive, 90, 1200);
  const endsMs = live(drive, { leastMs: 1_210_000 }).stretches[0]!.end.timeMs - drive.rows[0]!.timeMs;
  expect(endsMs).toBeGreaterThan(1_216_000);
});

it('cuts the life of a truck whose load is not reported all the same', () => {
  const drive = new Drive().for(7200, { speedKph: 70, gear: 9 });
  expect(live(drive).stretches.length).toBeGreaterThanOrEqual(4);
});

it('follows what the fleet states on the date of the rows, through a cut too', () => {
  const entries: Vehicle[] = [
    { vehicleId: 'T-1', validFrom: '2026-01-01', blindSpeedKph: 3 },
    { vehicleId: 'T-1', validFrom: '2026-03-03', blindSpeedKph: 1.5 },
  ];
  const drive = road(new Drive(Date.UTC(2026, 2, 2, 23)), 60, 7200);
  const { stretches } = live(drive, { entries });
  const stated = stretches.map(({ end }) => [end.timeMs < Date.UTC(2026, 2, 3), end.state.vehicle?.blindSpeedKph]);
  expect(stated).toContainEqual([true, 3]);
  expect(stated).toContainEqual([false, 1.5]);
  expect(stated).not.toContainEqual([true, 1.5]);
  const first = stretches[0]!.end;
  expect(live(drive, { entries, start: first, afterMs: first.timeMs }).stretches).toEqual(stretches.slice(1));
});
