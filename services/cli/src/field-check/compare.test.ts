import { exactly, interval } from '@gearhold/episodes';
import { describe, expect, it } from 'vitest';
import { compare, type FoundEpisode } from './compare.ts';
import type { Watched } from './watched.ts';

const noSteps = {} as Watched['steps'];

function row(kind: Watched['kind'], times: Record<string, number>, more: Partial<Watched> = {}): Watched {
  const seconds = Object.entries(times).map(([name, s]) => [name, s * 1000] as const);
  const all = seconds.map(([, ms]) => ms);
  return {
    line: 2,
    vehicleId: 'A',
    kind,
    yard: '',
    zone: null,
    fromMs: Math.min(...all),
    untilMs: Math.max(...all),
    times: new Map(seconds) as Watched['times'],
    tugTestTimes: [],
    steps: noSteps,
    remarks: '',
    watcher: '',
    ...more,
  };
}

function found(
  kind: string,
  transfer: number,
  milestones: Record<string, unknown> = {},
  outcome = 'met',
): FoundEpisode {
  const checks = [{ check: 'backing-speed', outcome, reason: 'Said.' }];
  return {
    episode: { kind, vehicleId: 'A', loadTransferTime: exactly(transfer * 1000), milestones },
    wire: { kind, vehicleId: 'A', checks },
  } as unknown as FoundEpisode;
}

const tolerances = { windowSeconds: 30, stopwatchSeconds: 2 };
const check = (rows: readonly Watched[], episodes: readonly FoundEpisode[]) =>
  compare(rows, episodes, () => true, tolerances);

describe('compare', () => {
  it('finds what lies within the window of the watched load transfer, of the same truck and kind', () => {
    const watched = row('coupling', { loadTransferTime: 100 });
    expect(check([watched], [found('coupling', 130)]).found).toHaveLength(1);
    expect(check([watched], [found('coupling', 130.1)]).notFound).toHaveLength(1);
    expect(check([watched], [found('uncoupling', 100)]).notFound).toHaveLength(1);
    expect(check([{ ...watched, vehicleId: 'B' }], [found('coupling', 100)]).notFound).toHaveLength(1);
  });

  it('counts the window from the nearest times around the load transfer where that itself was not written', () => {
    const watched = row('coupling', { contactTime: 100, seatedTime: 104, departureTime: 900 });
    expect(check([watched], [found('coupling', 102)]).found).toHaveLength(1);
    expect(check([watched], [found('coupling', 134)]).found).toHaveLength(1);
    expect(check([watched], [found('coupling', 300)]).found).toHaveLength(0);
    const ends = row('uncoupling', { standTime: 100, clearTime: 900 });
    expect(check([ends], [found('uncoupling', 300)]).found).toHaveLength(1);
  });

  it('gives each found episode to one row, the nearest first', () => {
    const rows = [row('coupling', { loadTransferTime: 100 }), row('coupling', { loadTransferTime: 125 })];
    const compared = check(rows, [found('coupling', 120), found('coupling', 96)]);
    expect(compared.found.map((one) => one.found.episode.loadTransferTime.best)).toEqual([96_000, 120_000]);
    expect(check(rows, [found('coupling', 120)]).notFound.map((one) => one.row)).toEqual([rows[0]]);
  });

  it('names the nearest other thing that was found instead', () => {
    const watched = row('coupling', { loadTransferTime: 100 });
    const { notFound } = check([watched], [found('attempt', 110), found('coupling', 5000)]);
    expect(notFound[0]?.nearest?.found.wire.kind).toBe('attempt');
    expect(notFound[0]?.nearest?.apartSeconds).toBe(10);
  });

  it('tells what was found while somebody watched and saw none, with its missed verdicts', () => {
    const quiet = row('none', {}, { fromMs: 0, untilMs: 200_000 });
    const compared = check([quiet], [found('coupling', 100, {}, 'missed'), found('coupling', 300, {}, 'missed')]);
    expect(compared.unwatched).toHaveLength(1);
    expect(compared.unwatched[0]?.missed).toHaveLength(1);
    expect(compared.quiet).toBe(1);
    expect(check([quiet], [found('attempt', 100)]).unwatched).toEqual([]);
  });

  it('leaves out rows without readings, and says which', () => {
    const watched = row('coupling', { loadTransferTime: 100 });
    const compared = compare([watched], [], () => false, tolerances);
    expect(compared).toMatchObject({ found: [], notFound: [], noReadings: [watched] });
  });

  it('holds each time against its bounds, widened by the stopwatch', () => {
    const times = { contactTime: 100, seatedTime: 112.5, departureTime: 200, approachTime: 80 };
    const milestones = {
      contactTime: interval(101_000, 103_000),
      seatedTime: interval(108_000, 110_000),
      departureTime: null,
      approachTime: interval(85_000, 86_000),
      tugTestTimes: [interval(120_000, 121_000), interval(130_000, 131_000)],
    };
    const watched = row('coupling', times, { tugTestTimes: [132_000, 140_000] });
    const [only] = check([watched], [found('coupling', 105, milestones)]).found;
    const outside = only!.times.map(({ milestone, outsideSeconds }) => [milestone, outsideSeconds]);
    expect(outside).toEqual([
      ['contactTime', 0],
      ['seatedTime', 0.5],
      ['departureTime', null],
      ['approachTime', -3],
      ['tugTestTimes', 0],
      ['tugTestTimes', 7],
    ]);
  });
});
