import { describe, expect, test } from 'vitest';
import { rowsEvery, times } from './drawn-rows.ts';
import { type Cell, motion } from './motion.ts';
import type { Known, Row } from './row.ts';
import { type Proof, View } from './series.ts';
import { leastMetres, mostMetres, stands } from './stands.ts';

/** The sensor reads 0 below 3.6 km/h, which is 1 m/s. */
const known: Known = { blindSpeedKph: 3.6, releasedPedalPct: 0, mode: 'periodic' };

function table(rows: readonly Row[], proof: Proof, backing = false): Cell[] {
  const end = rows[rows.length - 1].timeMs;
  return motion(new View(rows, known), { proof, window: [rows[0].timeMs, end], loadMoves: 10, backing });
}

function seen(rows: readonly Row[], proof: Proof): number[][] {
  return stands(table(rows, proof), proof === 'met' ? 'fastest' : 'slowest').map((s) => [
    s.fromMs / 1000,
    s.toMs / 1000,
  ]);
}

describe('a standstill between moving samples, 1 Hz', () => {
  // Moves at 0 and 1 s, reads 0 from 2 to 12 s, moves at 13 and 14 s, all at 6 km/h; a truck changes by 3 m/s2 at most, so
  // that the 1.67 m/s of the moving samples last for 0.5 s and a bit more, which is cut to 0.1 s.
  const speedKph = [6, 6, ...times(11, 0), 6, 6];
  const possible = [[1.5, 12.5]];

  test('is proven from zero to zero with the parking brake applied', () => {
    const rows = rowsEvery(1, 15, { speedKph, gear: 1, parkingBrake: [0, 0, ...times(11, 1), 0] });
    expect(seen(rows, 'met')).toEqual([[2, 12]]);
    expect(seen(rows, 'missed')).toEqual(possible);
  });

  test('is proven less the ramp at its beginning with the brake pedal pressed: a truck may still be braking below the blind speed', () => {
    const rows = rowsEvery(1, 15, { speedKph, gear: 1, parkingBrake: 0, serviceBrake: [0, ...times(12, 1), 0] });
    expect(seen(rows, 'met')).toEqual([[4, 12]]);
    expect(seen(rows, 'missed')).toEqual(possible);
  });

  test('is proven less both ramps where nothing but zeros is known', () => {
    const rows = rowsEvery(1, 15, { speedKph, suspensionKpa: 80 });
    expect(seen(rows, 'met')).toEqual([[4, 10]]);
  });

  test('is not proven in a gear with the service brake reported as released', () => {
    const rows = rowsEvery(1, 15, { speedKph, gear: 1, parkingBrake: 0, serviceBrake: 0 });
    expect(seen(rows, 'met')).toEqual([]);
    expect(seen(rows, 'missed')).toEqual(possible);
  });

  test('is contradicted by a gear with pressure that moves', () => {
    // 30 kPa less from 7 to 8 s: looked at within a second either side, so from 6 to 9 s nothing is proven; ramps elsewhere.
    const pressure = [...times(8, 80), 50];
    expect(seen(rowsEvery(1, 15, { speedKph, gear: 1, suspensionKpa: pressure }), 'met')).toEqual([]);
    const long = [6, 6, ...times(20, 0), 6, 6];
    expect(seen(rowsEvery(1, 24, { speedKph: long, gear: 1, suspensionKpa: pressure }), 'met')).toEqual([[11, 19]]);
  });
});

describe('gaps', () => {
  const braked = { gear: 0, parkingBrake: 1, suspensionKpa: 80 };

  test('of 5 s between zeros with the parking brake applied hide no movement from either proof', () => {
    const rows = rowsEvery(5, 7, { ...braked, speedKph: [9, 0, 0, 0, 0, 0, 9] });
    expect(seen(rows, 'met')).toEqual([[5, 25]]);
    // 9 km/h is 2.5 m/s and lasts 0.83 s: standing is possible from 0.8 to 29.2 s.
    expect(seen(rows, 'missed')).toEqual([[0.8, 29.2]]);
    expect(
      Math.max(
        ...table(rows, 'missed')
          .slice(60, 240)
          .map((c) => c.fastest),
      ),
    ).toBe(0);
  });

  test('of 10 s, or a load that changes in a shorter one, may hide movement from a proof of `missed`', () => {
    const slow = table(rowsEvery(10, 4, { ...braked, speedKph: 0 }), 'missed');
    expect(Math.max(...slow.map((c) => c.fastest))).toBeGreaterThan(5);
    const fallen = table(rowsEvery(5, 4, { ...braked, speedKph: 0, suspensionKpa: [80, 80, 30, 30] }), 'missed');
    expect(
      fallen
        .filter((c) => c.fastest > 0)
        .map((c) => c.fromMs / 1000)
        .at(0),
    ).toBeLessThan(5.1);
  });

  test('of 5 s with only a foot on the brake prove nothing', () => {
    const rows = rowsEvery(5, 5, { speedKph: 0, gear: 1, parkingBrake: 0, serviceBrake: 1 });
    expect(seen(rows, 'met')).toEqual([]);
  });

  test('of the whole vehicle between two braked rows at one place are standing, those without a brake or elsewhere are not', () => {
    const around = (after: Partial<Row>, common: Partial<Row> = { parkingBrake: 1 }): Row[] =>
      [
        ...rowsEvery(1, 5, { speedKph: 0, gear: 0, latitude: 41, longitude: -98 }),
        ...rowsEvery(1, 5, { speedKph: 0, gear: 0, latitude: 41, longitude: -98 }, 304).map((row) => ({
          ...row,
          ...after,
        })),
      ].map((row) => ({ ...row, ...common }));
    expect(seen(around({}), 'met')).toEqual([[0, 308]]);
    expect(seen(around({}), 'missed')).toEqual([[0, 308]]);
    // 0.0002 degrees of latitude are 22 m.
    expect(seen(around({ latitude: 41.0002 }), 'met').at(-1)).not.toEqual([0, 308]);
    expect(seen(around({}, { parkingBrake: 0 }), 'met').at(-1)).not.toEqual([0, 308]);
    // Without the parking brake the first 2 s may still be the ramp.
    expect(seen(around({}, { parkingBrake: 0, ignition: 0 }), 'met')).toEqual([[2, 308]]);
  });
});

describe('distance', () => {
  test('lies between the smaller and the larger of two samples a second apart', () => {
    // 3.6, 7.2, 7.2 km/h: at most 2 + 2 m; at least 1 + 2 m, and 0.12 m more, since the 2 m/s of the second sample need
    // 1/3 s: in the three cells before it at least 1.1, 1.4 and 1.7 m/s instead of 1.
    const cells = table(rowsEvery(1, 3, { speedKph: [3.6, 7.2, 7.2], gear: 1 }), 'missed');
    expect(leastMetres(cells, 0, 2000)).toBeCloseTo(3.12, 9);
    expect(mostMetres(cells, 0, 2000)).toBeCloseTo(4, 9);
  });

  test('is at most the blind speed while the speed reads 0, and less what goes the other way', () => {
    const creeping = table(rowsEvery(1, 6, { speedKph: 0, gear: 1, serviceBrake: 0 }), 'met');
    expect(mostMetres(creeping, 0, 5000)).toBeCloseTo(5, 9);
    const back = table(rowsEvery(1, 3, { speedKph: [7.2, 7.2, 7.2], gear: -1 }), 'missed');
    expect(leastMetres(back, 0, 2000)).toBe(0);
    expect(leastMetres(back, 0, 2000, 'reverse')).toBeCloseTo(4, 9);
  });
});
