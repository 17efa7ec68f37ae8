/**
 * What must not matter: how bytes are cut into chunks, rows into files, files put in order, the rows of vehicles mixed, rows
 * delayed within the bound, and repeated. In process, through the program's own analysis; every result is compared as bytes.
 */
import { readFileSync } from 'node:fs';
import { builtInPolicy } from '@gearhold/policy';
import { contractMapping, type InputFormat, readReadings } from '@gearhold/signals';
import fc from 'fast-check';
import { beforeAll, describe, expect, it } from 'vitest';
import { analyse, type Source } from '../../services/cli/src/analysis.ts';
import { buildEngine } from '../../services/cli/src/engine.ts';
import { LineStore } from '../../services/cli/src/line-store.ts';
import type { RowStoreOptions } from '../../services/cli/src/row-store.ts';
import { columns, writeReadings } from '../bench/readings.ts';
import { testFolder } from './folder.ts';

const folder = testFolder();
const vehicles = 3;
const runs = { numRuns: 25 };
const engine = buildEngine({ policy: builtInPolicy, vehicles: [], sites: [], mapping: contractMapping });
let rows: string[] = [];
let expected = '';

interface Input {
  readonly chunks: readonly Uint8Array[];
  readonly format: InputFormat;
}

async function linesOf(inputs: readonly Input[], rowStore?: RowStoreOptions): Promise<string> {
  const sources = inputs.map(({ chunks, format }, index): Source => {
    const bytes = async function* () {
      yield* chunks;
    };
    const name = `file ${index}`;
    return {
      name,
      read: (report, fileIndex) => readReadings(bytes(), { fileName: name, fileIndex, report, format, lateMs: 30_000 }),
    };
  });
  const lines = new LineStore();
  const options = { lateMs: 30_000, kinds: 'all', ...(rowStore === undefined ? {} : { rowStore }) } as const;
  const { intake } = await analyse(sources, engine, options, {
    episode: (episode) => lines.add(Date.parse(episode.loadTransferTime), episode.vehicleId, JSON.stringify(episode)),
  });
  expect(intake.rowsRejected).toBe(0);
  return [...lines.lines()].join('');
}

function csv(of: readonly string[]): Input {
  return { chunks: [Buffer.from([columns.join(','), ...of, ''].join('\n'))], format: 'csv' };
}

function ndjson(of: readonly string[]): Input {
  const object = (row: string) => {
    const cells = row.split(',');
    return JSON.stringify(Object.fromEntries(columns.map((name, i) => [name, i < 2 ? cells[i] : Number(cells[i])])));
  };
  return { chunks: [Buffer.from(of.map(object).join('\n'))], format: 'ndjson' };
}

function cut(input: Input, places: readonly number[]): Input {
  const whole = Buffer.concat(input.chunks);
  const at = [0, ...places.map((place) => Math.floor(place * whole.length)).sort((a, b) => a - b), whole.length];
  return { ...input, chunks: at.slice(1).map((end, i) => whole.subarray(at[i], end)) };
}

/** A number from 0 to 1 for each row, without an array of thousands to shrink. */
function perRow(seed: number): (index: number) => number {
  return (index) => {
    let x = Math.imul(index ^ seed, 0x9e3779b1);
    x = Math.imul(x ^ (x >>> 15), 0x85ebca6b);
    return ((x ^ (x >>> 13)) >>> 0) / 2 ** 32;
  };
}

const share = fc.double({ min: 0, max: 1, noNaN: true });
const seed = fc.integer();

beforeAll(async () => {
  const path = folder.at('day.csv');
  await writeReadings(path, 2300 * vehicles, vehicles);
  rows = readFileSync(path, 'utf8').trimEnd().split('\n').slice(1);
  expected = await linesOf([csv(rows)]);
  expect(expected.split('\n').length).toBeGreaterThan(vehicles);
});

describe('the bytes of the output stay the same', () => {
  it('wherever the input is cut into chunks, in CSV and in NDJSON', async () => {
    await fc.assert(
      fc.asyncProperty(fc.array(share, { maxLength: 40 }), fc.boolean(), async (places, asCsv) => {
        expect(await linesOf([cut(asCsv ? csv(rows) : ndjson(rows), places)])).toBe(expected);
      }),
      runs,
    );
    const few = Buffer.concat(csv(rows).chunks);
    const single = Array.from(few.subarray(0, 3000), (_, i) => few.subarray(i, i + 1));
    expect(await linesOf([{ chunks: [...single, few.subarray(3000)], format: 'csv' }])).toBe(expected);
  });

  it('however rows are dealt to files, the files ordered, and the memory for sorting sized', async () => {
    await fc.assert(
      fc.asyncProperty(seed, fc.integer({ min: 2, max: 6 }), fc.nat(), async (dealt, files, first) => {
        const random = perRow(dealt);
        const parts = Array.from({ length: files }, (_, f) =>
          rows.filter((__, i) => Math.floor(random(i) * files) === f),
        );
        const turned = parts.map((_, f) => parts[(f + first) % files]!);
        const inputs = turned.map((part, f) => (f % 2 === 0 ? csv(part) : ndjson(part)));
        const rowStore = { blockWords: 500 + (first % 60_000), cursorWords: 64 + (dealt & 255) };
        expect(await linesOf(inputs, rowStore)).toBe(expected);
      }),
      runs,
    );
  });

  it('however the rows of different vehicles are mixed in one file', async () => {
    await fc.assert(
      fc.asyncProperty(seed, async (mixed) => {
        const random = perRow(mixed);
        const queues = [...Map.groupBy(rows, (row) => row.split(',')[1]).values()];
        const places = queues.map(() => 0);
        const out: string[] = [];
        for (let i = 0; out.length < rows.length; i++) {
          const open = queues.map((_, q) => q).filter((q) => places[q]! < queues[q]!.length);
          const q = open[Math.floor(random(i) * open.length)]!;
          // Runs of rows, so that whole stretches of a vehicle come together.
          const run = 1 + Math.floor(random(i + 7919) * 50);
          out.push(...queues[q]!.slice(places[q]!, places[q]! + run));
          places[q]! += run;
        }
        expect(await linesOf([csv(out)])).toBe(expected);
      }),
      runs,
    );
  });

  it('however rows are delayed within the bound, and some of them repeated', async () => {
    await fc.assert(
      fc.asyncProperty(seed, share, async (delayed, repeated) => {
        const random = perRow(delayed);
        const keyed = rows.flatMap((row, i) => {
          const at = Date.parse(row.slice(0, 24)) + random(i) * 29_000;
          const again = random(i + 104_729) < repeated * 0.3 ? [{ at: at + (random(i + 31) - 0.5), row }] : [];
          return [{ at, row }, ...again];
        });
        const out = keyed.sort((a, b) => a.at - b.at).map(({ row }) => row);
        expect(await linesOf([csv(out)])).toBe(expected);
      }),
      runs,
    );
  });
});
