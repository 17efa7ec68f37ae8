/**
 * One coupling and one uncoupling drawn by hand at 1 Hz, for the tests of single checks: any signal can be drawn anew. Times
 * are ms from 0, pressures kPa; the tractor alone has 60 kPa, with the trailer 300.
 */
import { rowsEvery, times } from './drawn-rows.ts';
import { enumerate } from './enumerate.ts';
import type { Bounds, Known, Row, TrueAnchor } from './row.ts';

type Drawing = Record<string, number | (number | null)[]>;

const known: Known = {
  blindSpeedKph: 3.6,
  releasedPedalPct: 0,
  loadNoise: 0,
  loadStep: 0.1,
  bobtail: 60,
  liftAxle: false,
  mode: 'periodic',
};

/**
 * Stands braked up to 259 s, backs at 4.5 km/h from 260 to 270 s, load from 269 s, stands with the pedal pressed from 271 s,
 * braked in neutral from 300 s, and moves off at 460 s.
 */
const coupling: TrueAnchor = {
  kind: 'coupling',
  startTime: 259_500,
  endTime: 460_000,
  loadTransferTime: 270_200,
  pressureBeforeKpa: 60,
  pressureAfterKpa: 300,
  dumped: false,
  milestones: { approachTime: 259_500, seatedTime: 271_200, departureTime: 459_500 },
  facts: { homeTime: 270_500 },
};

const coupled: Drawing = {
  speedKph: [...times(260, 0), ...times(11, 4.5), ...times(189, 0), 4.5, 9],
  gear: [...times(259, 0), ...times(12, -1), ...times(29, 1), ...times(158, 0), 1],
  parkingBrake: [...times(259, 1), ...times(41, 0), ...times(159, 1), 0],
  serviceBrake: [...times(271, 0), ...times(29, 1), 0],
  acceleratorPct: 0,
  torquePct: 4,
  suspensionKpa: [...times(269, 60), 120, 200, 300],
};

export function ofCoupling(check: string, drawn: Drawing = {}, also: Partial<Known> = {}, anchor = coupling): Bounds {
  return enumerate(rowsEvery(1, 480, { ...coupled, ...drawn }), anchor, undefined, { ...known, ...also })[check];
}

/**
 * Comes to rest at 20 s, stands braked with the load on up to 99 s, pulls out at 100 s at 2.7 km/h, the load goes off from
 * 102 to 104 s, and it drives on at 18 km/h from 110 s.
 */
const uncoupling: TrueAnchor = {
  kind: 'uncoupling',
  startTime: 20_000,
  endTime: 108_000,
  loadTransferTime: 103_000,
  pressureBeforeKpa: 300,
  pressureAfterKpa: 60,
  dumped: false,
  trailerLoad: 'loaded',
  milestones: { standTime: 20_000, pullOutTime: 99_500, releaseTime: 102_000 },
};

const uncoupled: Drawing = {
  speedKph: [...times(20, 9), ...times(80, 0), ...times(10, 2.7), 9, ...times(100, 18)],
  gear: [...times(20, 1), ...times(79, 0), 1],
  parkingBrake: [...times(21, 0), ...times(78, 1), 0],
  suspensionKpa: [...times(102, 300), 220, 140, 60],
  latitude: 41.2,
  longitude: -98.1,
};

export function ofUncoupling(
  check: string,
  drawn: Drawing = {},
  also: Partial<Known> = {},
  anchor: Partial<TrueAnchor> = {},
): Bounds {
  const rows: Row[] = rowsEvery(1, 211, { ...uncoupled, ...drawn });
  return enumerate(rows, { ...uncoupling, ...anchor }, undefined, { ...known, ...also })[check];
}
