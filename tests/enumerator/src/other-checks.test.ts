import { describe, expect, test } from 'vitest';
import { rowsEvery, times } from './drawn-rows.ts';
import { enumerate } from './index.ts';
import { builtInLimits, type Known, type Row, type TrueAnchor } from './row.ts';

const known: Known = {
  blindSpeedKph: 3.6,
  releasedPedalPct: 0,
  loadNoise: 0,
  loadStep: 0.1,
  bobtail: 60,
  liftAxle: false,
  mode: 'periodic',
};
const episode: TrueAnchor = {
  kind: 'coupling',
  startTime: 39_500,
  endTime: 150_000,
  loadTransferTime: 50_200,
  pressureBeforeKpa: 60,
  pressureAfterKpa: 300,
  dumped: false,
  milestones: { approachTime: 39_500, seatedTime: 51_200, departureTime: 150_000 },
};

/**
 * 1 Hz. Backs at 1.25 m/s up to 19 s, stands braked from 20 to 39 s, backs at 1.25 m/s from 40 to 50 s, stands with the
 * pedal pressed from 51 s, braked in neutral from 80 s, moves off at 150 s. Load from 49 s.
 */
function rows(more: Record<string, number | (number | null)[]> = {}): Row[] {
  return rowsEvery(1, 160, {
    speedKph: [...times(20, 4.5), ...times(20, 0), ...times(11, 4.5), ...times(99, 0), 4.5],
    gear: [...times(51, -1), ...times(29, 1), ...times(68, 0), 1],
    parkingBrake: [...times(20, 0), ...times(20, 1), ...times(40, 0), ...times(69, 1), 0],
    serviceBrake: [...times(51, 0), ...times(29, 1), 0],
    torquePct: 4,
    suspensionKpa: [...times(49, 60), 120, 200, 300],
    ...more,
  });
}

const of = (drawn: readonly Row[], more: Partial<TrueAnchor> = {}, also: Partial<Known> = {}) =>
  enumerate(drawn, { ...episode, ...more }, undefined, { ...known, ...also });

describe('approach-stop', () => {
  test('is met by a braked standstill within 15 m of where the load comes on', () => {
    // Zeros from 20 to 39 s: 19 s proven; 1.25 m/s lasts 0.42 s: 20.2 s possible, cut to 0.1 s. From 39 to 49 s 12.5 m.
    const found = of(rows())['approach-stop'];
    expect(found.low).toBeCloseTo(19, 6);
    expect(found.high).toBeCloseTo(20.2, 6);
    expect(found.outcome).toBe('met');
  });

  test('is missed where the only standstill is farther away than that', () => {
    // 2.5 m/s from 40 to 50 s: at least 20 m from standstill to load.
    const speedKph = [...times(20, 4.5), ...times(20, 0), ...times(11, 9), ...times(99, 0), 4.5];
    const found = of(rows({ speedKph }))['approach-stop'];
    expect(found.low).toBe(0);
    expect(found.outcome).toBe('missed');
  });
});

describe('suspension-response', () => {
  test('is met where a sample with load comes while the truck still moves', () => {
    expect(of(rows())['suspension-response']).toEqual({ low: 1, high: 1, outcome: 'met' });
  });

  test('is missed where the level is still the old one after the kingpin is home', () => {
    const drawn = rows({ suspensionKpa: [...times(90, 60), 300] });
    const found = of(drawn, { loadTransferTime: 89_500 })['suspension-response'];
    expect(found).toEqual({ low: 0, high: 0, outcome: 'missed' });
  });

  test('is undetermined after a dump, where a small rise may be hidden, and where a lift axle could have made the rise', () => {
    const late = rows({ suspensionKpa: [...times(90, 60), 300] });
    const moved = { loadTransferTime: 89_500 };
    expect(of(late, { ...moved, dumped: true })['suspension-response'].outcome).toBe('undetermined');
    expect(of(late, moved, { loadStep: 10 })['suspension-response'].outcome).toBe('undetermined');
    const small = rows({ suspensionKpa: [...times(49, 60), ...times(40, 75), 300] });
    expect(of(small, {}, { liftAxle: true })['suspension-response'].outcome).toBe('undetermined');
  });
});

describe('tug-test-count', () => {
  const pull = (...at: number[]) => Array.from({ length: 160 }, (_, t) => (at.includes(t) ? 30 : 4));
  const released = [...times(51, 0), ...times(9, 1), ...times(20, 0)];

  test('counts each run of samples with torque in a forward gear and no travel', () => {
    const drawn = rows({ torquePct: pull(60, 61, 66, 67), serviceBrake: released });
    expect(of(drawn)['tug-test-count']).toEqual({ low: 2, high: 2, outcome: 'met' });
  });

  test('is missed where torque at 1 Hz shows fewer, undetermined where it is not reported as often', () => {
    expect(of(rows({ torquePct: pull(60, 61), serviceBrake: released }))['tug-test-count']).toEqual({
      low: 1,
      high: 1,
      outcome: 'missed',
    });
    const sparse = rows({ torquePct: Array.from({ length: 160 }, (_, t) => (t % 2 === 0 ? 4 : null)) });
    expect(of(sparse)['tug-test-count']).toEqual({ low: 0, high: null, outcome: 'undetermined' });
    expect(of(rows({ torquePct: times(160, null) }))['tug-test-count'].outcome).toBe('undetermined');
  });
});

describe('parking-brake-set', () => {
  test('is met where the brake is applied in every stretch without a sign of the driver', () => {
    // Signs: the brake pedal up to 79 s, then gear and brake valve at 80 s; from there to 148 s applied throughout.
    expect(of(rows())['parking-brake-set'].outcome).toBe('met');
  });

  test('is undetermined where such a stretch is not braked, since nobody knows whether the driver left', () => {
    const loose = rows({ parkingBrake: 0, serviceBrake: 0 });
    expect(of(loose)['parking-brake-set']).toEqual({ low: 0, high: 1, outcome: 'undetermined' });
  });

  test('is judged by the opening door where that is reported', () => {
    const door = [...times(85, 0), 1];
    expect(of(rows({ driverDoorOpen: door }))['parking-brake-set'].outcome).toBe('met');
    const loose = rows({ parkingBrake: 0, driverDoorOpen: door });
    expect(of(loose)['parking-brake-set']).toEqual({ low: 0, high: 0, outcome: 'missed' });
  });
});

describe('backing-speed', () => {
  const backing = (kph: number) => rows({ speedKph: [...times(20, 4.5), ...times(20, 0), ...times(11, kph), 0] });

  test('is met where every sample of the longest run is slow, missed where the shortest holds a fast one', () => {
    expect(of(backing(4.5))['backing-speed'].outcome).toBe('met');
    // 9 km/h at 1 Hz, less half a km/h that it may swing between the samples.
    expect(of(backing(9))['backing-speed']).toMatchObject({ low: 8.5, high: 9, outcome: 'missed' });
  });

  test('is undetermined on the limit, and through a gap that may hide anything', () => {
    expect(of(backing(8.2))['backing-speed'].outcome).toBe('undetermined');
    const speedKph = [...times(20, 4.5), ...times(20, 0), 4.5, null, null, null, null, ...times(6, 4.5), 0];
    expect(of(rows({ speedKph }))['backing-speed']).toMatchObject({ high: null, outcome: 'undetermined' });
  });
});

describe('lamps-while-backing', () => {
  const lamps = (hazardLamps: number | (number | null)[], headlamps: number) =>
    of(rows({ hazardLamps, headlamps }))['lamps-while-backing'];

  test('is met where both burn, missed where one is dark for long, and undetermined where none is reported', () => {
    expect(lamps(1, 1)).toEqual({ low: 1, high: 1, outcome: 'met' });
    expect(lamps(1, 0)).toEqual({ low: 0, high: 0, outcome: 'missed' });
    expect(of(rows())['lamps-while-backing'].outcome).toBe('undetermined');
  });

  test('is undetermined where it went out for no longer than a flash', () => {
    expect(lamps([...times(44, 1), 0, 0, 1], 1).outcome).toBe('undetermined');
  });
});

describe('departure-inspection', () => {
  const stood = [...times(20, 4.5), ...times(20, 0), ...times(11, 4.5), ...times(99, 0)];
  const inspection = (after: readonly number[], minSeconds = 300) =>
    enumerate(
      rows({ speedKph: [...stood, ...after] }),
      episode,
      { ...builtInLimits, departureInspection: { minSeconds, tripKph: 50 } },
      known,
    )['departure-inspection'];

  test('sums the standstill from the seat to trip speed', () => {
    const found = inspection([4.5, 20, 40, 60]);
    // Zeros from 51 to 149 s; below the blind speed of 3.6 km/h it may have stood for some tenths of a second more.
    expect(found.low).toBeGreaterThan(94);
    expect(found.low).toBeLessThanOrEqual(98);
    expect(found.high).toBeGreaterThanOrEqual(98);
    expect(found.high).toBeLessThan(101);
    expect(found.outcome).toBe('missed');
    expect(inspection([4.5, 20, 40, 60], 90).outcome).toBe('met');
  });

  test('has no upper bound before trip speed is seen', () => {
    expect(inspection([4.5, 20, 40])).toMatchObject({ high: null, outcome: 'undetermined' });
    expect(inspection([4.5, 20, 40], 90).outcome).toBe('met');
  });
});

test('other kinds of episode have no check here', () => {
  expect(of(rows(), { kind: 'attempt' })).toEqual({});
});
