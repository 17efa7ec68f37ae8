import { describe, expect, test } from 'vitest';
import { rowsEvery, times } from './drawn-rows.ts';
import { gearHoldPause } from './gear-hold-pause.ts';
import { builtInLimits, type Known, type Row, type TrueAnchor } from './row.ts';
import { View } from './series.ts';

const limits = builtInLimits.gearHoldPause;
/** The sensor reads 0 below 3.6 km/h, 1 m/s; the pressure has no noise and steps of 0.1 kPa. */
const known: Known = {
  blindSpeedKph: 3.6,
  releasedPedalPct: 0,
  loadNoise: 0,
  loadStep: 0.1,
  bobtail: 60,
  mode: 'periodic',
};

function anchor(more: Partial<TrueAnchor>, pullOutSeconds: number, releaseSeconds: number): TrueAnchor {
  return {
    kind: 'uncoupling',
    startTime: 0,
    endTime: 120_000,
    loadTransferTime: releaseSeconds * 1000,
    pressureBeforeKpa: 300,
    pressureAfterKpa: 60,
    dumped: false,
    milestones: { standTime: 0, pullOutTime: pullOutSeconds * 1000, releaseTime: releaseSeconds * 1000 },
    ...more,
  };
}

function bounds(rows: readonly Row[], episode: TrueAnchor, more: Partial<Known> = {}, asked = limits) {
  return gearHoldPause(new View(rows, { ...known, ...more }), episode, asked);
}

/** Drives off for good: 3.6 km/h more each second up to 36. */
const off = [3.6, 7.2, 10.8, 14.4, 18, 21.6, 25.2, 28.8, 32.4, 36];

/**
 * Without a dump, 1 Hz. Stands braked for 60 s at 300 kPa, brake off at 61 s, 1 m/s at 62 and 63 s, still 300 kPa. From 64 s
 * zeros: pedal pressed at 64 s, brake applied from 65 s, pressure 150 at 64 s and 60 after. Moves again `zeros` seconds on.
 */
function pulled(zeros: number, speeds: readonly number[] = [3.6, 3.6]): Row[] {
  const moving = speeds.length;
  return rowsEvery(1, 62 + moving + zeros + 60, {
    speedKph: [...times(62, 0), ...speeds, ...times(zeros, 0), ...off],
    gear: [...times(61, 0), 1],
    parkingBrake: [...times(61, 1), ...times(moving + 2, 0), ...times(zeros - 1, 1), 0],
    serviceBrake: [...times(61, 0), 1, ...times(moving, 0), 1, 0],
    suspensionKpa: [...times(62 + moving, 300), 150, 60],
  });
}

describe('a pause under the nose, without a dump', () => {
  test('is at least the braked zeros, at most the time between the moving samples around it', () => {
    // Zeros from 64 to 105 s. Proven from 65 s, when the brake is seen, to 105 s: 40 s. Possible from 63.3 s (1 m/s lasts
    // 1/3 s) to 105.7 s: 42.4 s. Release no earlier than 63 s, which still shows 300 kPa; from there at most 1 m to 64 s and
    // 0.775 m down the ramp to 65 s: under 2 m, so `low` counts it.
    const found = bounds(pulled(42), anchor({}, 61, 63.5));
    expect(found.low).toBeCloseTo(40, 6);
    expect(found.high).toBeCloseTo(42.4, 6);
    expect(found.outcome).toBe('met');
  });

  test('is missed where even the moving samples around it are less than 30 s apart', () => {
    // Zeros from 64 to 73 s: 8 s proven, 10.4 s possible.
    const found = bounds(pulled(10), anchor({}, 61, 63.5));
    expect(found.low).toBeCloseTo(8, 6);
    expect(found.high).toBeCloseTo(10.4, 6);
    expect(found.outcome).toBe('missed');
  });

  test('is undetermined where the limit lies between the two', () => {
    // Zeros from 64 to 94 s: 29 s proven, 31.4 s possible.
    expect(bounds(pulled(31), anchor({}, 61, 63.5)).outcome).toBe('undetermined');
  });

  test('is left out of `low` but counted in `high` where it may begin more than 2 m, but not surely 3 m, after the plate was off', () => {
    // Three more seconds at 1 m/s with the pressure already down: at most 4.8 m after release, at least 5 less 2.5 m.
    const rows = pulled(42, [3.6, 3.6, 3.6, 3.6, 3.6]).map((row, i) => (i > 63 ? { ...row, suspensionKpa: 60 } : row));
    const found = bounds(rows, anchor({}, 61, 63.5));
    expect(found.low).toBe(0);
    expect(found.high).toBeCloseTo(42.4, 6);
  });

  test('is none at all where it surely begins more than 5.5 m after the pull began', () => {
    // Seven seconds at 1 m/s: at least 6 m between the first and the last of them, 3.5 m after the latest release. What is
    // left is the 1 s and the ramp in which the truck may have pulled and stood unseen before its first moving sample.
    const rows = pulled(42, times(7, 3.6)).map((row, i) => (i > 63 ? { ...row, suspensionKpa: 60 } : row));
    const found = bounds(rows, anchor({}, 61, 63.5));
    expect(found.low).toBe(0);
    expect(found.high).toBeLessThan(1);
    expect(found.outcome).toBe('missed');
  });

  test('does not count where the load stays on the fifth wheel until it pulls on', () => {
    // As the first, but 300 kPa to the end of the pause and a second longer.
    const rows = pulled(42).map((row, i) => (i < 107 ? { ...row, suspensionKpa: 300 } : { ...row, suspensionKpa: 60 }));
    const found = bounds(rows, anchor({}, 61, 107));
    expect(found.low).toBe(0);
    expect(found.outcome).not.toBe('met');
  });

  test('may hide in a hole of the rows', () => {
    const rows = pulled(10).filter((row) => row.timeMs <= 63_000 || row.timeMs >= 100_000);
    const found = bounds(rows, anchor({}, 61, 63.5));
    expect(found.outcome).toBe('undetermined');
    expect(found.high).toBeGreaterThan(30);
  });

  test('has no upper bound where the rows end in it', () => {
    const rows = pulled(42).filter((row) => row.timeMs <= 80_000);
    expect(bounds(rows, anchor({}, 61, 63.5)).high).toBeNull();
  });
});

/**
 * With a dump, 1 Hz. Stands braked at 400 kPa, which falls from 30 s on: 200, 90, 30 and 4 kPa at 31 to 34 s, then 2 kPa.
 * Brake off with the pedal pressed at 71 s, 1 m/s at 72 s and on.
 */
function dumped(pullAt = 71): Row[] {
  return rowsEvery(1, pullAt + 60, {
    speedKph: [...times(pullAt + 1, 0), ...off],
    gear: [...times(pullAt, 0), 1],
    parkingBrake: [...times(pullAt, 1), 0],
    serviceBrake: [...times(pullAt, 0), 1, 0],
    suspensionKpa: [...times(31, 400), 200, 90, 30, 4, ...times(pullAt, 2), 60],
  });
}

describe('a pause after a dump', () => {
  const truth = anchor({ dumped: true, pressureBeforeKpa: 400 }, 71, 73);

  test('lasts from the sample around which the fall is done to the first movement', () => {
    // The fall is 398 kPa, 5 % of it 19.9: done below 21.9 kPa, so between 33 s (30 kPa) and 34 s (4 kPa). Proven to stand
    // until 71 s, surely moving from 72 s less the 1/3 s that 1 m/s needs: 37 to 38.7 s.
    const found = bounds(dumped(), truth);
    expect(found.low).toBeCloseTo(37, 6);
    expect(found.high).toBeCloseTo(38.7, 6);
    expect(found.outcome).toBe('met');
  });

  test('is missed where the pull comes too soon, and undetermined in between', () => {
    const soon = bounds(dumped(50), anchor({ dumped: true, pressureBeforeKpa: 400 }, 50, 52));
    expect(soon.low).toBeCloseTo(16, 6);
    expect(soon.high).toBeCloseTo(17.7, 6);
    expect(soon.outcome).toBe('missed');
    expect(bounds(dumped(63), anchor({ dumped: true, pressureBeforeKpa: 400 }, 63, 65)).outcome).toBe('undetermined');
  });

  test('proves nothing for certain where the pressure comes down only to the level of the tractor alone', () => {
    // 60 kPa is what a nose lifted off by its legs leaves as well.
    const rows = dumped().map((row) => ({ ...row, suspensionKpa: Math.max(60, row.suspensionKpa ?? 0) }));
    const found = bounds(rows, truth);
    expect(found.low).toBe(0);
    expect(found.outcome).toBe('undetermined');
  });

  test('is none where the rows show no dump and the truth has none', () => {
    const rows = dumped().map((row) => ({ ...row, suspensionKpa: Math.max(60, row.suspensionKpa ?? 0) }));
    const found = bounds(rows, anchor({ pressureBeforeKpa: 400 }, 71, 73));
    expect(found.outcome).toBe('missed');
  });

  test('is certain where the command is reported', () => {
    const rows = dumped().map((row, i) => ({
      ...row,
      suspensionKpa: Math.max(60, row.suspensionKpa ?? 0),
      suspensionDump: i >= 30 && i < 74 ? 1 : 0,
    }));
    expect(bounds(rows, truth).outcome).toBe('met');
  });

  test('goes on over a movement that may be slack', () => {
    // One sample of 1 m/s between zeros may be no more than a nudge of 0.24 m: the pause may last to the next moving sample.
    const rows = dumped(90).map((row, i) => (i === 50 ? { ...row, speedKph: 3.6, parkingBrake: 0, gear: 1 } : row));
    const found = bounds(rows, anchor({ dumped: true, pressureBeforeKpa: 400 }, 90, 92));
    expect(found.high).toBeCloseTo(57.7, 6);
  });

  test('does not count what stands under the nose where the policy asks for the pause before the pull', () => {
    // Pulls at 40 s already, 1.2 m/s at 41 s, and stands braked from 42 s to 90 s: at most 2.4 m from the first to the last.
    const rows = rowsEvery(1, 160, {
      speedKph: [...times(41, 0), 4.32, ...times(49, 0), ...off],
      gear: [...times(40, 0), 1],
      parkingBrake: [...times(40, 1), 0, 0, ...times(49, 1), 0],
      serviceBrake: [...times(40, 0), 1, 0],
      suspensionKpa: [...times(31, 400), 200, 90, 30, 4, ...times(70, 2), 60],
    });
    const episode = anchor({ dumped: true, pressureBeforeKpa: 400 }, 40, 42);
    // Before the pull 6 to 7.7 s (1.2 m/s needs 0.4 s, and a cell of 0.1 s more); under the nose 48 s, from 42 to 90 s.
    const farther = { ...limits, underMetres: 2.5 };
    expect(bounds(rows, episode, {}, farther).low).toBeCloseTo(48, 6);
    const before = bounds(rows, episode, {}, { ...farther, dumpedPause: 'before-pull' });
    expect(before.low).toBeCloseTo(6, 6);
    expect(before.high).toBeCloseTo(7.7, 6);
    expect(before.outcome).toBe('missed');
  });
});

test('spring suspension proves nothing, and a yard tractor that lifts the trailer gets no verdict', () => {
  expect(bounds(pulled(42), anchor({}, 61, 63.5), { springSuspension: true })).toEqual({
    low: null,
    high: null,
    outcome: 'undetermined',
  });
  expect(bounds(pulled(42), anchor({}, 61, 63.5), { liftsTrailer: true }).outcome).toBe('not-applicable');
});
