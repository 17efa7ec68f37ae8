import { describe, expect, test } from 'vitest';
import { backingAboveIdle } from './backing-above-idle.ts';
import { rowsEvery, times } from './drawn-rows.ts';
import { builtInLimits, type Known, type Row, type TrueAnchor } from './row.ts';
import { View } from './series.ts';

const limits = builtInLimits.backingAboveIdle;
/** The sensor reads 0 below 3 km/h. */
const known: Known = {
  blindSpeedKph: 3,
  releasedPedalPct: 0,
  loadNoise: 0,
  loadStep: 0.1,
  bobtail: 60,
  liftAxle: false,
  mode: 'periodic',
};
const episode: TrueAnchor = {
  kind: 'coupling',
  startTime: 9500,
  endTime: 60_000,
  loadTransferTime: 20_200,
  pressureBeforeKpa: 60,
  pressureAfterKpa: 300,
  dumped: false,
  milestones: { approachTime: 9500, seatedTime: 20_500 },
};

/**
 * 1 Hz. Stands in reverse gear with the brake pedal pressed up to 9 s, backs at 4 km/h from 10 to 20 s, stands with the pedal
 * pressed from 21 s. The load comes on between 18 s (60 kPa) and 19 s (120 kPa).
 */
function backed(pedal: Partial<Record<number, number>>, more: Record<string, number | (number | null)[]> = {}): Row[] {
  return rowsEvery(1, 50, {
    speedKph: [...times(10, 0), ...times(11, 4), 0],
    gear: -1,
    parkingBrake: 0,
    serviceBrake: [...times(10, 1), ...times(11, 0), 1],
    suspensionKpa: [...times(19, 60), 120, 200, 300],
    acceleratorPct: Array.from({ length: 50 }, (_, t) => pedal[t] ?? 0),
    ...more,
  });
}

function bounds(rows: readonly Row[], more: Partial<Known> = {}) {
  return backingAboveIdle(new View(rows, { ...known, ...more }), episode, limits);
}

describe('the accelerator on the last reverse run', () => {
  test('is proven held from the first to the last of consecutive samples', () => {
    // 12 % at 14 and 15 s: held for 1 s at least, and for 3 s at most, at no more than 12 %.
    expect(bounds(backed({ 14: 12, 15: 12 }))).toEqual({ low: 12, high: 12, outcome: 'missed' });
    // 9 and 12 %: at least 9 % was held; 12 % may have been, from 14 to 16 s.
    expect(bounds(backed({ 14: 9, 15: 12 }))).toEqual({ low: 9, high: 12, outcome: 'missed' });
  });

  test('is undetermined after one high sample alone', () => {
    expect(bounds(backed({ 14: 12 }))).toEqual({ low: 0, high: 12, outcome: 'undetermined' });
  });

  test('is met where no sample of the whole run is above the limit', () => {
    expect(bounds(backed({}))).toEqual({ low: 0, high: 0, outcome: 'met' });
    expect(bounds(backed({ 14: 2, 15: 2 }))).toEqual({ low: 2, high: 2, outcome: 'met' });
  });

  test('may be anything in a gap of more than 1.5 s', () => {
    const rows = backed({}, { acceleratorPct: [...times(14, 0), null, 0] });
    expect(bounds(rows)).toEqual({ low: 0, high: 100, outcome: 'undetermined' });
  });

  test('is not proven held over a gap of more than 1.5 s', () => {
    const rows = backed({}, { acceleratorPct: [...times(14, 0), 12, null, 12, 0] });
    expect(bounds(rows).low).toBe(0);
  });

  test('does not count before the last standstill of 3 s, nor once the kingpin may be home', () => {
    // 5 to 8 s: standing; 21 to 25 s: after the last sample that moves, and from 23 s, past the ramp, surely home.
    expect(bounds(backed({ 5: 12, 6: 12, 7: 12, 8: 12 })).outcome).toBe('met');
    const late = bounds(backed({ 21: 12, 22: 12, 23: 12 }));
    expect(late).toEqual({ low: 0, high: 12, outcome: 'undetermined' });
    expect(bounds(backed({ 24: 12, 25: 12, 26: 12 })).outcome).toBe('met');
  });

  test('counts above the released reading, and above anything from 0 to 5 % where that is not known', () => {
    const rows = backed({ 14: 12, 15: 12 });
    expect(bounds(rows, { releasedPedalPct: 3 })).toEqual({ low: 9, high: 9, outcome: 'missed' });
    expect(bounds(rows, { releasedPedalPct: null })).toEqual({ low: 7, high: 12, outcome: 'missed' });
  });

  test('does not prove anything of a run that may have begun only afterwards, unseen below the blind speed', () => {
    // Zeros with all brakes off from 16 to 18 s, before the load comes on: it may have stood from 15 to 19 s.
    const speedKph = [...times(10, 0), ...times(6, 4), 0, 0, 0, 4, 4, 0];
    const found = bounds(backed({ 13: 12, 14: 12 }, { speedKph }));
    expect(found).toEqual({ low: 0, high: 12, outcome: 'undetermined' });
  });

  test('knows no direction without a gear: only what runs on to the kingpin without a stop is surely reverse', () => {
    expect(bounds(backed({ 14: 12, 15: 12 }, { gear: times(50, null) })).low).toBe(12);
    const speedKph = [...times(10, 0), ...times(6, 4), 0, ...times(4, 4), 0];
    const found = bounds(backed({ 13: 12, 14: 12 }, { gear: times(50, null), speedKph }));
    expect(found.outcome).toBe('undetermined');
  });
});

describe('engine speed in place of the pedal', () => {
  // A heading that turns keeps rows with the same engine speed from being stale copies.
  const noPedal = { acceleratorPct: times(50, null), headingDeg: Array.from({ length: 50 }, (_, t) => t) };

  test('is missed where it rose by more than the limit in the run, met where it stayed near idle', () => {
    const idle = backed({}, { ...noPedal, engineRpm: times(50, 600) });
    expect(bounds(idle, { idleRpm: 600 })).toEqual({ low: 0, high: 0, outcome: 'met' });
    const raised = backed({}, { ...noPedal, engineRpm: [...times(14, 600), 900, 900, 900, 600] });
    expect(bounds(raised, { idleRpm: 600 })).toEqual({ low: 300, high: 300, outcome: 'missed' });
  });

  test('proves nothing where it was raised before the run, or is level in it', () => {
    const fast = backed({}, { ...noPedal, engineRpm: times(50, 900) });
    expect(bounds(fast, { idleRpm: 600 })).toEqual({ low: 0, high: 300, outcome: 'undetermined' });
    const level = backed({}, { ...noPedal, engineRpm: [...times(10, 600), ...times(15, 900), 600] });
    expect(bounds(level, { idleRpm: 600 }).low).toBe(0);
  });
});

test('a sloped site and a lifting yard tractor are not asked; without pedal and engine speed nothing is known', () => {
  expect(bounds(backed({}), { sloped: true }).outcome).toBe('not-applicable');
  expect(bounds(backed({}), { liftsTrailer: true }).outcome).toBe('not-applicable');
  const blind = backed({}, { acceleratorPct: times(50, null), engineRpm: times(50, null) });
  expect(bounds(blind)).toEqual({ low: null, high: null, outcome: 'undetermined' });
});
