/**
 * Dropped rows never accuse. What all rows prove to be met, or leave open, is not `missed` on some of them; the one exception is
 * a miss that truly was one, which fewer rows may happen to read more simply. A source that sends only changes says
 * 'nothing changed' by its silence, so that of its rows only those may go that bring nothing new, or silences that end what
 * its values say (90 s).
 */
import type { WireCheck, WireEpisode } from '@gearhold/policy';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  analysed,
  analysedWhole,
  effort,
  engineFor,
  perIndex,
  type Row,
  type TruckDay,
  truckDay,
  trucks,
} from './truck-day.ts';

const periodic = [
  'clean-1hz',
  '1hz-noisy',
  '0.2hz',
  'no-gear',
  'jitter-dropouts',
  'all-signals',
  'dump-orders',
  'high-low-trailers',
  'attempts-shunts',
  'late-load',
  'lift-axle',
  'no-pedal',
];

type Thinning = (rows: readonly Row[], random: (index: number) => number) => readonly Row[];

/** Each row with the same chance. */
const scattered: Thinning = (rows, random) => rows.filter((_, i) => random(i + 2) >= 0.9 * random(1));

/** All but every so manieth: a slower source. */
const slower: Thinning = (rows, random) => {
  const every = 2 + Math.floor(12 * random(1));
  const first = Math.floor(every * random(2));
  return rows.filter((_, i) => i % every === first);
};

/** Holes of at least so long. */
const holes =
  (leastMs: number, mostMs: number): Thinning =>
  (rows, random) => {
    const firstMs = rows[0]!.timeMs;
    const spanMs = rows.at(-1)!.timeMs - firstMs;
    const count = 5 + Math.floor(100 * random(1));
    const missing = Array.from({ length: count }, (_, i) => {
      const fromMs = firstMs + spanMs * random(2 * i + 3);
      return { fromMs, toMs: fromMs + leastMs + (mostMs - leastMs) * random(2 * i + 4) };
    });
    return rows.filter(({ timeMs }) => !missing.some(({ fromMs, toMs }) => timeMs >= fromMs && timeMs < toMs));
  };

/** Rows that bring nothing new. */
const withoutRepeats: Thinning = (rows, random) => {
  const last = new Float64Array(rows[0]!.values.length).fill(Number.NaN);
  return rows.filter(({ values }, i) => {
    let news = false;
    for (const [s, value] of values.entries()) {
      if (Number.isNaN(value) || value === last[s]) continue;
      last[s] = value;
      news = true;
    }
    return news || random(i + 2) >= random(1);
  });
};

/** The episode of all rows that one of some rows is: of the kind, nearest within its time and a minute more. */
function counterpart(episode: WireEpisode, all: readonly WireEpisode[]): WireEpisode | undefined {
  const at = Date.parse(episode.loadTransferTime);
  const apart = (other: WireEpisode) => Math.abs(Date.parse(other.loadTransferTime) - at);
  return all
    .filter((other) => other.kind === episode.kind)
    .filter((other) => Date.parse(other.startTime) - 60_000 <= at && at <= Date.parse(other.endTime) + 60_000)
    .sort((a, b) => apart(a) - apart(b))[0];
}

/** Whether the simulator knows of the miss. */
function isTrue(day: TruckDay, episode: WireEpisode, check: WireCheck): boolean {
  const at = Date.parse(episode.loadTransferTime);
  const nearest = day.truth
    .filter((truth) => truth.kind === episode.kind && Math.abs(truth.loadTransferTime - at) < 300_000)
    .sort((a, b) => Math.abs(a.loadTransferTime - at) - Math.abs(b.loadTransferTime - at))[0];
  const known = nearest?.checks[check.check];
  // What the truth leaves open can be no false accusation; what it does not know of is one.
  return nearest !== undefined && (known === undefined || known.outcome === 'missed' || known.outcome === 'either');
}

interface Accusation {
  readonly where: string;
  readonly before: string;
  readonly reason: string;
}

/** Every `missed` on some of the rows that the rest of them did not bear out. */
function accusations(day: TruckDay, rows: readonly Row[]): Accusation[] {
  const all = analysedWhole(day);
  return analysed(day.vehicleId, rows, engineFor(day.vehicles)).flatMap((episode) => {
    const same = counterpart(episode, all);
    return episode.checks.flatMap((check): Accusation[] => {
      if (check.outcome !== 'missed') return [];
      const before = same?.checks.find((other) => other.check === check.check)?.outcome ?? 'no such episode';
      if (before === 'missed' || (before !== 'met' && isTrue(day, episode, check))) return [];
      const where = `${day.name}, ${episode.kind} at ${episode.loadTransferTime}, ${check.check}`;
      return [{ where, before, reason: check.reason }];
    });
  });
}

function neverAccuses(sets: readonly string[], thinnings: Readonly<Record<string, Thinning>>, runs: number): void {
  fc.assert(
    fc.property(
      fc.constantFrom(...sets),
      fc.nat({ max: trucks - 1 }),
      fc.constantFrom(...Object.keys(thinnings)),
      fc.integer(),
      (set, truck, thinning, seed) => {
        const day = truckDay(set, truck);
        expect(accusations(day, thinnings[thinning]!(day.rows, perIndex(seed)))).toEqual([]);
      },
    ),
    { numRuns: Math.round(runs * effort), seed: 20_260_302 },
  );
}

describe('dropping rows', () => {
  it('turns nothing into a miss, of sources that send every signal at intervals', () => {
    neverAccuses(periodic, { scattered, slower, holes: holes(0, 200_000) }, 30);
  });

  it('turns nothing into a miss, of sources that send what changed', () => {
    neverAccuses(['change-only'], { withoutRepeats, silences: holes(95_000, 600_000) }, 8);
  });
});
