/**
 * Changes to the input that mean nothing: another day, another name, other trucks among the rows, another unit, another
 * file. Each must leave everything else as it was, to the byte where the arithmetic allows it.
 */
import type { WireEpisode } from '@gearhold/policy';
import {
  contractMapping,
  type Mapping,
  mappingOf,
  readReadings,
  signalNames,
  sourceProfileSchema,
} from '@gearhold/signals';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { analyse, type Source } from '../../services/cli/src/analysis.ts';
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

const sets = ['1hz-noisy', 'all-signals', 'mixed-fleet', 'change-only', 'dump-orders', '0.2hz', 'key-off-gaps'];
const days = fc
  .record({ set: fc.constantFrom(...sets), truck: fc.nat({ max: trucks - 1 }) })
  .map(({ set, truck }) => truckDay(set, truck));
const runs = (count: number) => ({ numRuns: Math.round(count * effort), seed: 20_260_302 });

/** Everything that an episode says, but its id, which follows from vehicle and time. */
function saying({ episodeId: _, ...rest }: WireEpisode): unknown {
  return rest;
}

const isTime = /^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z$/;

/** The same with every time moved. */
function moved(value: unknown, byMs: number): unknown {
  if (typeof value === 'string' && isTime.test(value)) return new Date(Date.parse(value) + byMs).toISOString();
  if (Array.isArray(value)) return value.map((one) => moved(one, byMs));
  if (value === null || typeof value !== 'object') return value;
  return Object.fromEntries(Object.entries(value).map(([key, one]) => [key, moved(one, byMs)]));
}

describe('nothing else changes', () => {
  it('when all times are shifted', () => {
    // By whole milliseconds, within the years that a clock may show; the vehicles file of these sets knows no dates.
    const shift = fc.integer({ min: -20 * 365 * 86_400_000, max: 20 * 365 * 86_400_000 });
    fc.assert(
      fc.property(days, shift, (day, byMs) => {
        const rows = day.rows.map((row) => ({ ...row, timeMs: row.timeMs + byMs }));
        const shifted = analysed(day.vehicleId, rows, engineFor(day.vehicles));
        expect(shifted.map(saying)).toEqual(analysedWhole(day).map((episode) => moved(saying(episode), byMs)));
      }),
      runs(4),
    );
  });

  it('when the vehicle is renamed', () => {
    const name = fc.string({ minLength: 1, maxLength: 64 }).filter((text) => text.trim() !== '');
    fc.assert(
      fc.property(days, name, (day, vehicleId) => {
        const engine = engineFor(day.vehicles.map((vehicle) => ({ ...vehicle, vehicleId })));
        const renamed = analysed(vehicleId, day.rows, engine);
        expect(renamed.map(saying)).toEqual(
          analysedWhole(day).map((one) => ({ ...(saying(one) as object), vehicleId })),
        );
      }),
      runs(5),
    );
  });

  it('when other vehicles report in between', () => {
    fc.assert(
      fc.property(days, days, days, fc.integer(), (a, b, c, seed) => {
        const random = perIndex(seed);
        // The same truck of another set goes by another name: it is another truck.
        const fleet = [...new Set([a, b, c])].map((day, i) => ({ day, vehicleId: `${day.vehicleId}-${i}`, next: 0 }));
        const engine = engineFor(
          fleet.flatMap(({ day, vehicleId }) => day.vehicles.map((vehicle) => ({ ...vehicle, vehicleId }))),
        );
        const episodes: WireEpisode[] = [];
        const tracker = engine.tracker((episode) => episodes.push(engine.judge(episode)));
        let open = fleet;
        for (let turn = 0; open.length > 0; turn++) {
          const own = open[Math.floor(random(2 * turn) * open.length)]!;
          const until = Math.min(own.day.rows.length, own.next + 1 + Math.floor(200 * random(2 * turn + 1) ** 3));
          for (; own.next < until; own.next++) {
            const { timeMs, driverId, values } = own.day.rows[own.next]!;
            tracker.accept(own.vehicleId, timeMs, driverId, values, 0);
          }
          open = fleet.filter((truck) => truck.next < truck.day.rows.length);
        }
        tracker.finish();
        for (const { day, vehicleId } of fleet) {
          const own = episodes.filter((episode) => episode.vehicleId === vehicleId);
          own.sort((x, y) => Date.parse(x.loadTransferTime) - Date.parse(y.loadTransferTime));
          expect(own.map(saying)).toEqual(analysedWhole(day).map((one) => ({ ...(saying(one) as object), vehicleId })));
        }
      }),
      runs(4),
    );
  });

  it('when the rows come as bytes, cut into chunks and split over files, in the units of another source', async () => {
    await fc.assert(
      fc.asyncProperty(
        days,
        fc.integer(),
        fc.integer({ min: 1, max: 3 }),
        fc.constantFrom('kPa', 'psi', 'bar', 'Pa'),
        async (day, seed, files, unit) => {
          const own = await fromFiles(day, filesOf(day, seed, files, unit), mappingFor(unit), perIndex(seed));
          const all = analysedWhole(day);
          expect(own.map(outcomes)).toEqual(all.map(outcomes));
          if (unit === 'kPa') expect(own).toEqual(all);
        },
      ),
      runs(5),
    );
  });
});

/** What an episode says, levels and times as far as another unit's last digits leave them. */
function outcomes(episode: WireEpisode): unknown {
  const { kind, loadTransferTime, trailerLoad, suspensionDumped, milestones, confidence, checks } = episode;
  const said = checks.map(({ check, outcome, measured, reason }) => ({ check, outcome, measured, reason }));
  return { kind, loadTransferTime, trailerLoad, suspensionDumped, milestones, confidence, said };
}

/** kPa of one of a unit. */
const kpaOf = { kPa: 1, psi: 4.4482216152605 / 0.64516, bar: 100, Pa: 0.001 } as const;
type Unit = keyof typeof kpaOf;

function mappingFor(unit: Unit): Mapping {
  if (unit === 'kPa') return contractMapping;
  const signals = Object.fromEntries(
    signalNames.map((name) => [name, name === 'suspensionKpa' ? { from: 'AIR', unit } : { from: name }]),
  );
  return mappingOf(
    sourceProfileSchema.parse({
      time: { column: 'time' },
      vehicleId: { column: 'vehicleId' },
      driverId: { column: 'driverId' },
      signals,
    }),
  );
}

function line(vehicleId: string, { timeMs, driverId, values }: Row, unit: Unit): string {
  const cells = signalNames.map((name, s) => {
    const value = values[s]!;
    if (Number.isNaN(value)) return '';
    return String(name === 'suspensionKpa' && unit !== 'kPa' ? value / kpaOf[unit] : value);
  });
  return [new Date(timeMs).toISOString(), vehicleId, driverId ?? '', ...cells].join(',');
}

/** The day's rows as CSV, dealt to files. */
function filesOf(day: TruckDay, seed: number, files: number, unit: Unit): Uint8Array[] {
  const random = perIndex(seed);
  const head = [
    'time',
    'vehicleId',
    'driverId',
    ...signalNames.map((n) => (n === 'suspensionKpa' && unit !== 'kPa' ? 'AIR' : n)),
  ];
  const lines = Array.from({ length: files }, () => [head.join(',')]);
  day.rows.forEach((row, i) => {
    lines[Math.floor(random(i) * files)]!.push(line(day.vehicleId, row, unit));
  });
  return lines.map((own) => Buffer.from(`${own.join('\n')}\n`));
}

async function fromFiles(
  day: TruckDay,
  files: readonly Uint8Array[],
  mapping: Mapping,
  random: (index: number) => number,
): Promise<WireEpisode[]> {
  const sources = files.map((bytes, fileIndex): Source => {
    const chunks = async function* () {
      for (let at = 0, i = 0; at < bytes.length; i++) {
        const end = at + 1 + Math.floor(1 + 200_000 * random(i) ** 4);
        yield bytes.subarray(at, end);
        at = end;
      }
    };
    const name = `file ${fileIndex}`;
    return {
      name,
      read: (report, index) =>
        readReadings(chunks(), { fileName: name, fileIndex: index, report, format: 'csv', lateMs: 30_000, mapping }),
    };
  });
  const episodes: WireEpisode[] = [];
  await analyse(
    sources,
    engineFor(day.vehicles),
    { lateMs: 30_000, kinds: 'all' },
    { episode: (e) => episodes.push(e) },
  );
  return episodes.sort((a, b) => Date.parse(a.loadTransferTime) - Date.parse(b.loadTransferTime));
}
