/** Silences: what a parked truck may keep up, and what a clock that jumped must not make up. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Episode, FleetTracker } from './index.ts';
import { couple, Drive, type Row, road, stand, uncouple } from './testing/drive.ts';

const hour = 3600;
const day = 24 * hour;
const year = 365 * day;

function track(rows: readonly Row[]): Episode[] {
  const found: Episode[] = [];
  const fleet = new FleetTracker({ onEpisode: (episode) => found.push(episode) });
  for (const row of rows) fleet.accept('T-1', row.timeMs, row.driverId, row.values, 0);
  fleet.finish();
  return found;
}

const kinds = (drive: Drive) => track(drive.rows).map((e) => e.kind);

/** A truck that has taken a trailer and driven off with it. */
const withTrailer = () => road(couple(road(new Drive(), 60), 60, 300), 300);

/** Slowly, as in a yard. */
const creep = (drive: Drive, kpa: number, seconds: number) =>
  drive.for(seconds, { speedKph: 6, gear: 1, parkingBrake: 0, torquePct: 15, engineRpm: 900, suspensionKpa: kpa });

describe('a clock that jumps', () => {
  it.each([
    ['5 hours', 5 * hour],
    ['a day', day],
    ['40 days', 40 * day],
    ['10 years', 10 * year],
  ])('by %s while the truck moves makes no episode of what changed meanwhile', (_, seconds) => {
    expect(kinds(creep(creep(withTrailer(), 300, 30).silence(seconds), 60, 60))).toEqual(['coupling']);
    const stand10 = stand(creep(withTrailer(), 300, 30).silence(seconds), 60, 10);
    expect(kinds(creep(stand10, 60, 60))).toEqual(['coupling']);
    const backed = creep(road(new Drive(), 60), 60, 30).silence(seconds);
    backed.for(10, { speedKph: 3, gear: -1, parkingBrake: 0, suspensionKpa: 300 });
    expect(kinds(road(stand(backed, 300, 60), 300))).toEqual([]);
  });

  it('by years makes no episode even where the truck seems parked at both ends', () => {
    const drive = stand(stand(withTrailer(), 300, 60).silence(10 * year), 60, 60);
    expect(kinds(creep(drive, 60, 60))).toEqual(['coupling']);
  });

  it('for one row of an empty reading at the end makes no episode and no milestone out of order', () => {
    const drive = creep(withTrailer(), 300, 40).silence(10 * year);
    drive.for(1, { speedKph: 1, suspensionKpa: 2 });
    expect(kinds(drive)).toEqual(['coupling']);
  });

  it('leaves the episodes on either side as they are without the other', () => {
    const before = uncouple(withTrailer(), 300, 60, 40);
    road(before, 60);
    const alone = track(before.rows);
    const both = road(couple(road(before.silence(3 * year), 60), 60, 160), 160);
    const found = track(both.rows);
    expect(found.map((e) => e.kind)).toEqual(['coupling', 'uncoupling', 'coupling']);
    expect(found.slice(0, 2).map((e) => e.milestones)).toEqual(alone.map((e) => e.milestones));
  });

  it('never lets an episode reach across it, whatever the two sides look like', () => {
    const signals = fc.record({
      speedKph: fc.constantFrom(0, 1, 4, 30),
      gear: fc.constantFrom(-1, 0, 1),
      suspensionKpa: fc.constantFrom(0, 60, 150, 300),
    });
    const stretch = fc.array(fc.tuple(signals, fc.integer({ min: 5, max: 60 })), { minLength: 1, maxLength: 6 });
    fc.assert(
      fc.property(stretch, stretch, fc.constantFrom(35 * day, year, 10 * year), (first, second, seconds) => {
        const drive = road(new Drive(), 60, 30);
        for (const [values, s] of first) drive.for(s, values);
        const jumpMs = drive.timeMs;
        drive.silence(seconds);
        for (const [values, s] of second) drive.for(s, values);
        for (const e of track(drive.rows)) {
          expect(e.startTime <= jumpMs).toBe(e.endTime <= jumpMs);
          expect(e.loadTransferTime.low <= jumpMs).toBe(e.loadTransferTime.high <= jumpMs);
          const { timesMs, length } = e.evidence.track;
          expect(timesMs[0]! <= jumpMs).toBe(timesMs[length - 1]! <= jumpMs);
        }
      }),
      { numRuns: 300 },
    );
  });
});

describe('a truck that is parked and silent', () => {
  it.each([
    ['a night', 10 * hour],
    ['a weekend', 3 * day],
    ['three weeks', 21 * day],
  ])('for %s leaves its trailer afterwards as if there had been no silence', (_, seconds) => {
    const parked = stand(withTrailer(), 300, 120).silence(seconds);
    expect(kinds(road(uncouple(stand(parked, 300, 60), 300, 60, 40), 60))).toEqual(['coupling', 'uncoupling']);
  });

  it('without a parking brake in its rows still knows in the morning that it has a trailer', () => {
    const drive = withTrailer()
      .for(60, { speedKph: 0, gear: 0, suspensionKpa: 300 })
      .silence(14 * hour);
    drive.for(60, { speedKph: 0, gear: 0, suspensionKpa: 300 });
    expect(kinds(road(uncouple(drive, 300, 60, 40), 60))).toEqual(['coupling', 'uncoupling']);
  });

  it('after a jump keeps what was learned of its levels', () => {
    const drive = road(withTrailer().silence(year), 300);
    const found = track(road(uncouple(drive, 300, 60, 40), 60).rows);
    expect(found.map((e) => e.kind)).toEqual(['coupling', 'uncoupling']);
    expect(found[1]!.evidence.learned.bobtail).toBeCloseTo(60, 0);
  });
});
