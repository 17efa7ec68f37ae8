/**
 * Confidence is monotone in the evidence: whoever knows the truck's levels, reports the gear, sends rows more often or has
 * seen more of the same is never less sure that a trailer was taken or left. On days written by hand, where the more is
 * exactly the less and something besides.
 */
import type { WireEpisode } from '@gearhold/policy';
import { type SignalName, signalIndex } from '@gearhold/signals';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { couple, Drive, dumpAndLeave, road, uncouple } from '../../packages/episodes/src/testing/drive.ts';
import { analysed, effort, engineFor, type Row } from './truck-day.ts';

const vehicleId = 'T-1';

interface Day {
  readonly bobtail: number;
  readonly coupled: number;
  readonly loaded: number;
  readonly pauseSeconds: number;
  readonly dumps: boolean;
}

const days: fc.Arbitrary<Day> = fc.record({
  bobtail: fc.integer({ min: 40, max: 80 }),
  coupled: fc.integer({ min: 140, max: 200 }),
  loaded: fc.integer({ min: 360, max: 500 }),
  pauseSeconds: fc.integer({ min: 0, max: 60 }),
  dumps: fc.boolean(),
});

/** Takes and leaves the same trailer so many times. */
function rowsOf({ bobtail, coupled, pauseSeconds, dumps }: Day, times: number, stepMs = 1000): Row[] {
  const drive = new Drive(undefined, stepMs);
  road(drive, bobtail);
  for (let i = 0; i < times; i++) {
    couple(drive, bobtail, coupled);
    road(drive, coupled);
    if (dumps) dumpAndLeave(drive, coupled, bobtail, pauseSeconds);
    else uncouple(drive, coupled, bobtail, pauseSeconds);
    road(drive, bobtail);
  }
  return drive.rows;
}

function without(rows: readonly Row[], signal: SignalName): Row[] {
  return rows.map((row) => {
    const values = row.values.slice();
    values[signalIndex[signal]] = Number.NaN;
    return { ...row, values };
  });
}

const unstated = engineFor([]);

function stating({ bobtail, coupled, loaded }: Day) {
  return engineFor([{ vehicleId, levels: { bobtailKpa: bobtail, emptyKpa: coupled, loadedKpa: loaded } }]);
}

/** Confidence by episode: the n-th of its kind; 0 where the evidence did not suffice for one. */
function surer(more: readonly WireEpisode[], less: readonly WireEpisode[]): void {
  for (const kind of ['coupling', 'uncoupling']) {
    const of = (episodes: readonly WireEpisode[]) => episodes.filter((episode) => episode.kind === kind);
    for (const episode of of(less)) {
      const at = Date.parse(episode.loadTransferTime);
      const same = of(more).find((other) => Math.abs(Date.parse(other.loadTransferTime) - at) <= 15_000);
      expect(same?.confidence ?? 0, `${kind} at ${episode.loadTransferTime}`).toBeGreaterThanOrEqual(
        episode.confidence,
      );
    }
  }
}

function holds(property: (day: Day) => void): void {
  fc.assert(fc.property(days, property), { numRuns: Math.round(12 * effort), seed: 20_260_302 });
}

describe('confidence', () => {
  it('finds each episode of these days where all is known', () => {
    holds((day) => {
      const found = analysed(vehicleId, rowsOf(day, 2), stating(day));
      expect(found.map(({ kind }) => kind)).toEqual(['coupling', 'uncoupling', 'coupling', 'uncoupling']);
    });
  });

  it('is no lower where the levels are stated', () => {
    holds((day) => {
      const rows = rowsOf(day, 2);
      surer(analysed(vehicleId, rows, stating(day)), analysed(vehicleId, rows, unstated));
    });
  });

  it('is no lower where the gear, the brake, the torque or the position of the pedal is reported', () => {
    holds((day) => {
      const rows = rowsOf(day, 2);
      for (const engine of [unstated, stating(day)]) {
        const all = analysed(vehicleId, rows, engine);
        for (const signal of ['gear', 'parkingBrake', 'serviceBrake', 'torquePct', 'acceleratorPct'] as const)
          surer(all, analysed(vehicleId, without(rows, signal), engine));
      }
    });
  });

  it('is no lower where rows come more often', () => {
    holds((day) => {
      for (const engine of [unstated, stating(day)]) {
        const every = [500, 1000, 2000, 5000].map((stepMs) => analysed(vehicleId, rowsOf(day, 2, stepMs), engine));
        for (let i = 1; i < every.length; i++) surer(every[i - 1]!, every[i]!);
      }
    });
  });

  it('never falls as the same is seen again and again', () => {
    holds((day) => {
      const found = analysed(vehicleId, rowsOf(day, 4), unstated);
      for (const kind of ['coupling', 'uncoupling']) {
        const sure = found.filter((episode) => episode.kind === kind).map(({ confidence }) => confidence);
        expect(sure).toEqual([...sure].sort((a, b) => a - b));
      }
    });
  });

  it('is no lower where more of the day is seen', () => {
    holds((day) => {
      const rows = rowsOf(day, 2);
      const all = analysed(vehicleId, rows, unstated);
      for (const share of [0.3, 0.5, 0.7, 0.9])
        surer(all, analysed(vehicleId, rows.slice(0, Math.floor(share * rows.length)), unstated));
    });
  });
});
