/**
 * A sensor that reads so much more at every level: what it says of the load moves alike, and nothing else does. Springs count
 * as empty up to 18 kPa, which is all the offset that a sensor is granted: 15 kPa are tried. Two levels are told apart by a
 * share of them, so that on noisy rows a constant may cost a verdict, or a confidence, and never turns one into its opposite.
 */

import type { WireEpisode } from '@gearhold/policy';
import { signalIndex } from '@gearhold/signals';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { couple, Drive, dumpAndLeave, road, uncouple } from '../../packages/episodes/src/testing/drive.ts';
import { analysed, analysedWhole, effort, engineFor, type Row, truckDay, trucks } from './truck-day.ts';

const pressureAt = signalIndex.suspensionKpa;

function raised(rows: readonly Row[], byKpa: number): Row[] {
  return rows.map((row) => {
    const values = row.values.slice();
    values[pressureAt] = values[pressureAt]! + byKpa;
    return { ...row, values };
  });
}

/** An episode without its levels, and its levels less what was added. */
function lowered(episode: WireEpisode, byKpa: number): unknown {
  const { pressureBeforeKpa: before, pressureAfterKpa: after, ...rest } = episode;
  const less = (kpa: number | null) => (kpa === null ? null : Math.round((kpa - byKpa) * 10) / 10);
  return { ...rest, before: less(before), after: less(after) };
}

/** A day written by hand: an empty trailer taken and left with a pause, a loaded one taken and left by a dump. */
function writtenDay(bobtail: number, empty: number, loaded: number, pauseSeconds: number): Row[] {
  const drive = new Drive();
  road(drive, bobtail);
  couple(drive, bobtail, empty);
  road(drive, empty);
  uncouple(drive, empty, bobtail, pauseSeconds);
  road(drive, bobtail);
  couple(drive, bobtail, loaded);
  road(drive, loaded);
  dumpAndLeave(drive, loaded, bobtail, pauseSeconds);
  return road(drive, bobtail).rows;
}

const written = fc.record({
  bobtail: fc.integer({ min: 40, max: 80 }),
  empty: fc.integer({ min: 140, max: 190 }),
  loaded: fc.integer({ min: 360, max: 500 }),
  pauseSeconds: fc.integer({ min: 0, max: 60 }),
});

describe('a constant added to the pressure', () => {
  it('changes nothing but the levels of a day without noise, whether they are learned or stated', () => {
    fc.assert(
      fc.property(written, fc.integer({ min: 0, max: 15 }), fc.boolean(), (day, byKpa, stated) => {
        const rows = writtenDay(day.bobtail, day.empty, day.loaded, day.pauseSeconds);
        const engine = (more: number) => {
          const levels = {
            bobtailKpa: day.bobtail + more,
            emptyKpa: day.empty + more,
            loadedKpa: day.loaded + more,
          };
          return engineFor(stated ? [{ vehicleId: 'T-1', levels }] : []);
        };
        const plain = analysed('T-1', rows, engine(0));
        expect(plain.map(({ kind }) => kind)).toEqual(['coupling', 'uncoupling', 'coupling', 'uncoupling']);
        const higher = analysed('T-1', raised(rows, byKpa), engine(byKpa));
        expect(higher.map((episode) => lowered(episode, byKpa))).toEqual(plain.map((episode) => lowered(episode, 0)));
      }),
      { numRuns: Math.round(40 * effort), seed: 20_260_302 },
    );
  });

  it('turns no verdict into its opposite on noisy days, and leaves 19 of 20 episodes as they were', () => {
    const sets = ['1hz-noisy', 'all-signals', 'dump-orders', 'late-load', 'attempts-shunts'];
    let episodes = 0;
    let same = 0;
    fc.assert(
      fc.property(
        fc.constantFrom(...sets),
        fc.nat({ max: trucks - 1 }),
        fc.integer({ min: 1, max: 20 }),
        (set, truck, byKpa) => {
          const day = truckDay(set, truck);
          const higher = analysed(day.vehicleId, raised(day.rows, byKpa), engineFor(day.vehicles));
          for (const episode of analysedWhole(day)) {
            const twin = higher.find((other) => isTwin(other, episode));
            episodes += 1;
            if (twin === undefined) continue;
            const pairs = episode.checks.map(({ outcome }, i) => `${outcome} ${twin.checks[i]!.outcome}`);
            expect(pairs).not.toContain('met missed');
            expect(pairs).not.toContain('missed met');
            if (episode.checks.every(({ outcome }, i) => twin.checks[i]!.outcome === outcome)) same += 1;
          }
        },
      ),
      { numRuns: Math.round(5 * effort), seed: 20_260_302 },
    );
    expect(same / episodes).toBeGreaterThan(0.95);
  });
});

function isTwin(a: WireEpisode, b: WireEpisode): boolean {
  return a.kind === b.kind && Math.abs(Date.parse(a.loadTransferTime) - Date.parse(b.loadTransferTime)) < 60_000;
}
