import { expect, it } from 'vitest';
import { couple, Drive, road, uncouple } from '../testing/drive.ts';
import { engineVersion, parseTrackerState, StateRefusedError } from './tracker-state.ts';
import { VehicleTracker } from './vehicle-tracker.ts';

function driven(drive: Drive, tracker = new VehicleTracker('T-1', null, () => {})): VehicleTracker {
  for (const { timeMs, driverId, values } of drive.rows) tracker.push(timeMs, driverId, values, 0);
  return tracker;
}

const trailerTaken = () => road(couple(road(new Drive(), 60), 60, 160), 160);
const json = (tracker: VehicleTracker) => JSON.parse(JSON.stringify(tracker.state()));

function refusal(state: unknown): StateRefusedError {
  try {
    parseTrackerState(state);
  } catch (error) {
    if (error instanceof StateRefusedError) return error;
  }
  throw new Error('was not refused');
}

it('carries what was learned of the truck', () => {
  const tracker = driven(trailerTaken());
  const again = VehicleTracker.resume(parseTrackerState(json(tracker)), () => {});
  const { cadence, ...summary } = tracker.summary();
  expect(again.summary()).toMatchObject(summary);
  expect(again.summary().cadence('suspensionKpa')).toEqual(cadence('suspensionKpa'));
  expect(again.oddities).toEqual(tracker.oddities);
  expect(again.summary().learned.bobtail).toBeCloseTo(60, 0);
});

it('goes on in the middle of an episode', () => {
  const whole = uncouple(trailerTaken(), 160, 60, 40);
  road(whole, 60);
  for (const share of [0.3, 0.7, 0.9]) {
    const kinds: string[] = [];
    const cut = Math.floor(share * whole.rows.length);
    let tracker = new VehicleTracker('T-1', null, ({ kind }) => kinds.push(kind));
    whole.rows.forEach(({ timeMs, driverId, values }, i) => {
      if (i === cut) tracker = VehicleTracker.resume(json(tracker), ({ kind }) => kinds.push(kind));
      tracker.push(timeMs, driverId, values, 0);
    });
    tracker.finish();
    expect(kinds).toEqual(['coupling', 'uncoupling']);
  }
});

it('knows the state of a tracker that has seen nothing', () => {
  const state = json(new VehicleTracker('T-1', null, () => {}));
  expect(VehicleTracker.resume(parseTrackerState(state), () => {}).state()).toEqual(state);
});

it('refuses the state of another engine version, and says which', () => {
  const state = { ...json(driven(trailerTaken())), engineVersion: engineVersion + 1 };
  expect(refusal(state)).toMatchObject({ code: 'STATE_REFUSED', version: engineVersion + 1 });
  expect(refusal(state).message).toContain(`engine version ${engineVersion + 1}`);
});

it('refuses what is no state, or a damaged one, and says where', () => {
  expect(refusal(null)).toMatchObject({ version: null });
  expect(refusal('state').message).toContain('learn again');
  const state = json(driven(trailerTaken()));
  expect(refusal({ ...state, travel: { ...state.travel, metres: 'far' } }).message).toContain('travel.metres');
  const columns = { ...state.history.columns, speedKph: [1, 2] };
  expect(refusal({ ...state, history: { ...state.history, columns } }).message).toContain('history');
  expect(refusal({ ...state, history: undefined }).message).toContain('history');
});

it('holds so many rows at most, whatever the truck does not report', () => {
  const tracker = new VehicleTracker('T-1', null, () => {});
  // Loads without a speed: no travel by which anything could be let go of.
  const [row] = new Drive().for(1, { suspensionKpa: 60, engineRpm: 600 }).rows;
  for (let i = 0; i < 300_000; i++) tracker.push(row!.timeMs + i * 1000, null, row!.values, 0);
  expect(tracker.state().history.times.length).toBeLessThanOrEqual(131_072);
});
