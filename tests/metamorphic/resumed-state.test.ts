/**
 * A tracker may die at any instant: one that goes on from what JSON carries of its state says the same, to the byte, as one
 * that never stopped. And a stretch gone through again from its start gives what it gave before.
 */
import {
  type Cut,
  type Episode,
  parseTrackerState,
  type Stretch,
  StretchTracker,
  VehicleTracker,
  validAt,
} from '@gearhold/episodes';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { effort, engineFor, type Row, type TruckDay, truckDay, trucks } from './truck-day.ts';

const sets = ['1hz-noisy', 'all-signals', 'dump-orders', 'key-off-gaps', 'axle-load', 'drift', 'change-only', '0.2hz'];
const days = fc.record({ set: fc.constantFrom(...sets), truck: fc.nat({ max: trucks - 1 }) });
const share = fc.double({ min: 0, max: 1, noNaN: true });
const runs = (count: number) => ({ numRuns: Math.round(count * effort), seed: 20_260_302 });

function judged(day: TruckDay, episodes: readonly Episode[]): string[] {
  const engine = engineFor(day.vehicles);
  return episodes.map((episode) => JSON.stringify(engine.judge(episode)));
}

const asJson = (tracker: VehicleTracker) => JSON.stringify(tracker.state());

/** Pushes all rows, and goes on from JSON after each of the rows named. */
function interrupted(day: TruckDay, places: ReadonlySet<number>): { episodes: string[]; state: string } {
  const episodes: Episode[] = [];
  const emit = (episode: Episode) => episodes.push(episode);
  let tracker = new VehicleTracker(day.vehicleId, validAt(day.vehicles, day.rows[0]!.timeMs), emit);
  for (const [i, { timeMs, driverId, values }] of day.rows.entries()) {
    tracker.push(timeMs, driverId, values, 0);
    if (places.has(i)) tracker = VehicleTracker.resume(parseTrackerState(JSON.parse(asJson(tracker))), emit);
  }
  tracker.finish();
  return { episodes: judged(day, episodes), state: asJson(tracker) };
}

describe('a tracker that goes on from JSON', () => {
  it('says the same as one that never stopped, wherever it stopped', () => {
    fc.assert(
      fc.property(days, fc.array(share, { minLength: 1, maxLength: 12 }), ({ set, truck }, shares) => {
        const day = truckDay(set, truck);
        const places = new Set(shares.map((place) => Math.floor(place * (day.rows.length - 1))));
        expect(interrupted(day, places)).toEqual(interrupted(day, new Set()));
      }),
      runs(14),
    );
  });

  it('gives its own state again', () => {
    fc.assert(
      fc.property(days, share, ({ set, truck }, place) => {
        const day = truckDay(set, truck);
        const tracker = new VehicleTracker(day.vehicleId, null, () => {});
        for (const row of day.rows.slice(0, Math.floor(place * day.rows.length)))
          tracker.push(row.timeMs, row.driverId, row.values, 0);
        const state = parseTrackerState(JSON.parse(asJson(tracker)));
        expect(asJson(VehicleTracker.resume(state, () => {}))).toBe(asJson(tracker));
      }),
      runs(14),
    );
  });
});

interface Lived {
  readonly stretches: Stretch[];
  readonly episodes: string[];
}

function live(day: TruckDay, rows: readonly Row[], start: Cut | null = null): Lived {
  const episodes: Episode[] = [];
  const stretches: Stretch[] = [];
  const tracker = new StretchTracker({
    vehicleId: day.vehicleId,
    entries: day.vehicles,
    start,
    onEpisode: (episode) => episodes.push(episode),
    onStretch: (stretch) => stretches.push(stretch),
  });
  for (const { timeMs, driverId, values } of rows) tracker.accept(timeMs, driverId, values, 0);
  tracker.finish();
  return { stretches, episodes: judged(day, episodes) };
}

describe('a stretch', () => {
  it('gone through again from its start gives what it gave before, and so does all that follows', () => {
    for (const set of ['1hz-noisy', 'change-only', 'key-off-gaps']) {
      const day = truckDay(set, 0, undefined, 30);
      const whole = live(day, day.rows);
      expect(whole.stretches.length).toBeGreaterThanOrEqual(2);
      for (const [i, { end }] of whole.stretches.entries()) {
        const after = day.rows.filter((row) => row.timeMs > end.timeMs);
        const again = live(day, after, JSON.parse(JSON.stringify(end)));
        expect(again.stretches).toEqual(whole.stretches.slice(i + 1));
        expect(again.episodes).toEqual(whole.episodes.slice(-again.episodes.length));
        const transferMs = (episode: string) => Date.parse(JSON.parse(episode).loadTransferTime);
        expect(again.episodes.length).toBe(whole.episodes.filter((e) => transferMs(e) > end.timeMs).length);
      }
    }
  });
});
