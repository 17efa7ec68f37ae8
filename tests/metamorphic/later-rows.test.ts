/**
 * What was said of a closed episode stands: rows that come later change nothing of it, nor does the end of the input. An
 * episode is handed out once the load has settled and the truck has moved on: the tracker waits 2 min for a level to settle, 5 min
 * for springs to be filled again, and then for the next travel. Ten minutes are granted for all of it.
 */
import type { WireEpisode } from '@gearhold/policy';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { analysed, analysedWhole, effort, engineFor, type Row, type TruckDay, truckDay, trucks } from './truck-day.ts';

const marginMs = 600_000;
const sets = ['1hz-noisy', 'all-signals', 'dump-orders', 'key-off-gaps', 'drop-hook', 'change-only', '0.2hz'];
const days = fc
  .record({ set: fc.constantFrom(...sets), truck: fc.nat({ max: trucks - 1 }) })
  .map(({ set, truck }) => truckDay(set, truck));
const share = fc.double({ min: 0, max: 1, noNaN: true });
const runs = (count: number) => ({ numRuns: Math.round(count * effort), seed: 20_260_302 });

/** Closed long enough before an instant: what was cut off by it is another matter. */
function closedBy(episodes: readonly WireEpisode[], timeMs: number): WireEpisode[] {
  return episodes.filter((episode) => {
    const left = episode.milestones[episode.kind === 'uncoupling' ? 'clearTime' : 'departureTime'];
    return typeof left === 'string' && Date.parse(episode.endTime) + marginMs <= timeMs;
  });
}

function cutAt({ rows }: TruckDay, place: number): { rows: Row[]; timeMs: number } {
  const kept = rows.slice(0, Math.max(1, Math.floor(place * rows.length)));
  return { rows: kept, timeMs: kept.at(-1)!.timeMs };
}

describe('an episode that has closed', () => {
  it('is the same whether the input ends after it or goes on', () => {
    fc.assert(
      fc.property(days, share, (day, place) => {
        const { rows, timeMs } = cutAt(day, place);
        const cut = analysed(day.vehicleId, rows, engineFor(day.vehicles));
        expect(closedBy(cut, timeMs)).toEqual(closedBy(analysedWhole(day), timeMs));
      }),
      runs(12),
    );
  });

  it('is the same whatever comes after it', () => {
    fc.assert(
      fc.property(days, days, share, share, (day, other, place, otherPlace) => {
        const { rows, timeMs } = cutAt(day, place);
        // The box moves to another truck, in the middle of its day.
        const later = other.rows.slice(Math.floor(otherPlace * other.rows.length)).slice(0, 5000);
        const byMs = timeMs + 1000 - (later[0]?.timeMs ?? 0);
        const moved = later.map((row) => ({ ...row, timeMs: row.timeMs + byMs }));
        const changed = analysed(day.vehicleId, [...rows, ...moved], engineFor(day.vehicles));
        expect(closedBy(changed, timeMs)).toEqual(closedBy(analysedWhole(day), timeMs));
      }),
      runs(12),
    );
  });

  it('is judged from rows of its own, which no later row overwrites', () => {
    fc.assert(
      fc.property(days, (day) => {
        const engine = engineFor(day.vehicles);
        const atOnce: WireEpisode[] = [];
        const later: (() => WireEpisode)[] = [];
        const tracker = engine.tracker((episode) => {
          atOnce.push(engine.judge(episode));
          const { evidence, ...rest } = episode;
          // Evidence of its own object, so that nothing worked out at once is found again.
          later.push(() => engine.judge({ ...rest, evidence: { ...evidence } } as typeof episode));
        });
        for (const { timeMs, driverId, values } of day.rows) tracker.accept(day.vehicleId, timeMs, driverId, values, 0);
        tracker.finish();
        expect(later.map((judge) => judge())).toEqual(atOnce);
      }),
      runs(3),
    );
  });
});
