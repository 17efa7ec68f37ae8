import { existsSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import type { TrueEpisode } from '@gearhold/fixtures';
import { beforeAll, describe, expect, it } from 'vitest';
import { testFolder } from './folder.ts';
import { gearhold, objects } from './spawn.ts';
import { type SheetRow, sheetText, timeOf, trueRow } from './true-sheet.ts';

const demo = (name: string) => fileURLToPath(new URL(`../../fixtures/demo/${name}`, import.meta.url));
const companions = ['--vehicles', demo('vehicles.json'), '--sites', demo('sites.json')];
const readings = demo('readings.csv.gz');
const truth: readonly TrueEpisode[] = JSON.parse(readFileSync(demo('truth.json'), 'utf8'));
const watchable = truth.filter(({ kind }) => kind === 'coupling' || kind === 'uncoupling');
const folder = testFolder();

interface Judged {
  readonly vehicleId: string;
  readonly kind: string;
  readonly loadTransferTime: string;
  readonly checks: readonly { readonly check: string; readonly outcome: string }[];
}

/** True episodes that the analysis finds, each with what it says of it. */
let foundPairs: { readonly true: TrueEpisode; readonly judged: Judged }[] = [];

beforeAll(async () => {
  const judged = objects((await gearhold(['analyze', ...companions, readings])).stdout) as unknown as Judged[];
  foundPairs = watchable.flatMap((one) => {
    const match = judged.find(
      ({ vehicleId, kind, loadTransferTime }) =>
        vehicleId === one.vehicleId &&
        kind === one.kind &&
        Math.abs(Date.parse(loadTransferTime) - one.loadTransferTime) < 5000,
    );
    return match === undefined ? [] : [{ true: one, judged: match }];
  });
});

interface Result {
  readonly conclusion: { readonly enough: boolean; readonly watched: number; readonly sentences: readonly string[] };
  readonly falseMissed: readonly { readonly line: number; readonly check: string; readonly seen: string }[];
  readonly unwatched: readonly { readonly vehicleId: string; readonly kind: string }[];
  readonly notFound: readonly { readonly line: number }[];
  readonly noReadings: readonly { readonly line: number }[];
  readonly found: readonly {
    readonly line: number;
    readonly times: readonly { readonly milestone: string; readonly outsideSeconds: number | null }[];
    readonly steps: readonly { readonly check: string; readonly result: string }[];
  }[];
}

async function compared(rows: readonly SheetRow[], ...more: string[]): Promise<Result> {
  const sheet = folder.write('sheet.csv', sheetText(rows));
  const ran = await gearhold(['field-check', '--format', 'json', ...companions, ...more, sheet, readings]);
  expect([ran.status, ran.stderr.match(/^gearhold:.*/m)?.[0]]).toEqual([0, undefined]);
  return JSON.parse(ran.stdout);
}

const hasVerdict = (check: string, outcome: string) => {
  const pair = foundPairs.find(({ judged }) =>
    judged.checks.some((one) => one.check === check && one.outcome === outcome),
  );
  if (pair === undefined) throw new Error(`the demo day has no ${check} that is ${outcome}`);
  return pair.true;
};

/** Every time of a row later by so many seconds. */
function later(row: SheetRow, columns: readonly string[], seconds: number): SheetRow {
  const moved = columns.flatMap((name) => {
    const [hour = 0, minute = 0, second = 0] = (row[name] ?? '').split(':').map(Number);
    const time = Date.UTC(2026, 2, 2, hour, minute, second + seconds);
    return row[name] === undefined ? [] : [[name, new Date(time).toISOString().slice(11, 19)]];
  });
  return { ...row, ...Object.fromEntries(moved) };
}

describe('a sheet filled in with the truth', () => {
  it('holds no false missed, and finds nothing that nobody saw', async () => {
    const result = await compared(watchable.map(trueRow));
    expect(result.falseMissed).toEqual([]);
    expect(result.unwatched).toEqual([]);
    expect(result.conclusion).toMatchObject({ enough: true, watched: watchable.length });
    expect(result.found.length).toBeGreaterThanOrEqual(foundPairs.length);
    expect(
      result.found.flatMap(({ steps }) => steps).filter(({ result: step }) => step === 'right').length,
    ).toBeGreaterThan(30);
  });

  it('is not enough before thirty, whatever is found', async () => {
    const result = await compared(watchable.slice(0, 12).map(trueRow));
    expect(result.conclusion.enough).toBe(false);
    expect(result.conclusion.sentences[0]).toBe('Not enough watched: 12 of 30.');
  });
});

describe('a sheet with an error of each kind', () => {
  it('shows a pause seen that was called missed as a false missed, first and in words', async () => {
    const row = { ...trueRow(hasVerdict('gear-hold-pause', 'missed')), pause: 'under-nose', pauseSeconds: '48' };
    const result = await compared([row]);
    expect(result.falseMissed).toMatchObject([
      { line: 2, check: 'gear-hold-pause', seen: "a pause of 48 s under the trailer's nose" },
    ]);
    expect(result.conclusion.sentences[0]).toMatch(/^1 step was called missed though a person saw it done\./);
  });

  it('shows tug tests not seen that were called met as a false met', async () => {
    const { found } = await compared([{ ...trueRow(hasVerdict('tug-test-count', 'met')), tugTests: '0' }]);
    expect(found[0]?.steps).toContainEqual(expect.objectContaining({ check: 'tug-test-count', result: 'false-met' }));
  });

  it('shows a time 60 s late as out of bounds, and the others not', async () => {
    const row = trueRow(hasVerdict('gear-hold-pause', 'missed'));
    const { found } = await compared([later(row, ['clearTime'], 60)]);
    const outside = found[0]!.times.filter(({ outsideSeconds }) => (outsideSeconds ?? 0) !== 0);
    expect(outside.map(({ milestone }) => milestone)).toEqual(['clearTime']);
    expect(outside[0]!.outsideSeconds).toBeGreaterThan(30);
    expect(outside[0]!.outsideSeconds).toBeLessThan(60);
    const wide = await compared([later(row, ['clearTime'], 60)], '--tolerance', '65');
    expect(wide.found[0]!.times.every(({ outsideSeconds }) => (outsideSeconds ?? 0) === 0)).toBe(true);
  });

  it('does not find one that was written down five minutes late, unless the window is as wide', async () => {
    const { true: one } = foundPairs[0]!;
    const { vehicleId, kind, zone, date, loadTransferTime } = trueRow(one);
    const row = later({ vehicleId, kind, zone, date, loadTransferTime } as SheetRow, ['loadTransferTime'], 300);
    expect((await compared([row])).notFound).toMatchObject([{ line: 2 }]);
    expect((await compared([row], '--window', '310')).notFound).toEqual([]);
  });

  it('tells what was found while a truck was watched that did nothing by the sheet', async () => {
    const { true: one } = foundPairs[0]!;
    const watchedFrom = timeOf(one.loadTransferTime - 60_000).slice(0, 5);
    const watchedUntil = timeOf(one.loadTransferTime + 60_000);
    const { vehicleId, zone, date } = trueRow(one);
    const result = await compared([{ vehicleId, zone, date, kind: 'none', watchedFrom, watchedUntil } as SheetRow]);
    expect(result.unwatched).toMatchObject([{ vehicleId, kind: one.kind }]);
    expect(result.conclusion.watched).toBe(0);
  });

  it('counts no truck as watched that sent no readings', async () => {
    const row = trueRow(foundPairs[0]!.true);
    const result = await compared([row, { ...row, vehicleId: 'T-999' }, { ...row, date: '2026-03-05' }]);
    expect(result.noReadings).toMatchObject([{ line: 3 }, { line: 4 }]);
    expect(result.conclusion.watched).toBe(1);
  });
});

describe('the page', () => {
  it('says all of it in words within 80 columns, without colour where the output is no terminal', async () => {
    const accused = { ...trueRow(hasVerdict('gear-hold-pause', 'missed')), pause: 'under-nose', pauseSeconds: '48' };
    const { vehicleId, kind, zone, date, loadTransferTime } = trueRow(foundPairs[0]!.true);
    const away = later({ vehicleId, kind, zone, date, loadTransferTime } as SheetRow, ['loadTransferTime'], 300);
    const sheet = folder.write('page.csv', sheetText([later(accused, ['clearTime'], 60), away]));
    const ran = await gearhold(['field-check', ...companions, sheet, readings], { env: { FORCE_COLOR: '1' } });
    expect(ran.status).toBe(0);
    const lines = ran.stdout.trimEnd().split('\n');
    expect(Math.max(...lines.map((line) => line.length))).toBeLessThanOrEqual(80);
    expect(ran.stdout).not.toContain('\u001b');
    expect(lines[2]).toMatch(/^1 step was called missed though a person saw it done\./);
    expect(ran.stdout.replace(/\s+/g, ' ')).toContain('Not enough watched: 2 of 30. Act on no verdict');
    expect(lines).toContain('Called missed, though seen done: 1');
    expect(lines).toContain('Watched, but not found: 1');
    expect(lines).toContain('Times outside the bounds: 1');
    expect(lines.at(-1)).toMatch(/never called done\.$/);
    const ascii = await gearhold(['field-check', '--ascii', ...companions, sheet, readings]);
    expect(ascii.stdout).toMatch(/^[\n\x20-\x7e]*$/);
  });
});

describe('an empty sheet', () => {
  it('is made as HTML to print and as CSV to type into, and the template is read back', async () => {
    const html = await gearhold(['field-check', '--sheet']);
    expect([html.status, html.stderr]).toEqual([0, '']);
    expect(html.stdout).toMatch(/^<!doctype html>[\s\S]*<\/html>\n$/);
    const csv = folder.at('template.csv');
    expect((await gearhold(['field-check', '--template', '--out', csv])).status).toBe(0);
    const checked = await gearhold(['field-check', csv, readings]);
    expect(checked.status).toBe(0);
    expect(checked.stdout).toContain('Not enough watched: 0 of 30.');
  });
});

describe('what a person can get wrong', () => {
  it.each([
    [[], 2, /needs a filled sheet and the readings/],
    [['sheet.csv'], 2, /needs a filled sheet and the readings/],
    [['--sheet', '--template'], 2, /expected one of them/],
    [['--sheet', 'sheet.csv'], 2, /--sheet makes an empty one and reads no file/],
    [['--window', 'wide', 'a', 'b'], 2, /Expected a number of seconds/],
    [['none.csv', readings], 2, /field sheet none\.csv cannot be read: there is no such file/],
    [[readings, readings], 2, /is not UTF-8 text/],
  ] as const)('%j ends with %d', async (args, status, words) => {
    const ran = await gearhold(['field-check', ...args]);
    expect([ran.status, ran.stdout]).toEqual([status, '']);
    expect(ran.stderr).toMatch(words);
  });

  it('never writes over the sheet', async () => {
    const sheet = folder.write('kept.csv', sheetText([trueRow(watchable[0]!)]));
    const ran = await gearhold(['field-check', '--out', sheet, sheet, readings]);
    expect(ran.status).toBe(2);
    expect(ran.stderr).toMatch(/--out .* would overwrite/);
    expect(readFileSync(sheet, 'utf8')).toBe(sheetText([trueRow(watchable[0]!)]));
  });

  it('ends with 3 where readings cannot be read, with what could be compared', async () => {
    const sheet = folder.write('some.csv', sheetText([trueRow(watchable[0]!)]));
    const out = folder.at('result.txt');
    const ran = await gearhold(['field-check', ...companions, '--out', out, sheet, readings, folder.at('gone.csv')]);
    expect(ran.status).toBe(3);
    expect(ran.stdout).toBe('');
    expect(existsSync(out) && readFileSync(out, 'utf8')).toContain('Not enough watched: 1 of 30.');
  });
});
