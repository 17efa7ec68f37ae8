import type { WireEpisode } from '@gearhold/policy';
import { workMatchSchema } from '@gearhold/schemas';
import { describe, expect, it } from 'vitest';
import { type Covered, matchable, matchWork, workResults } from './match.ts';
import type { WrittenRecord } from './work-file.ts';

const at = (minutes: number) => new Date(Date.UTC(2026, 2, 2, 6, minutes)).toISOString();

function record(minutes: number, action: 'hook' | 'drop', vehicleId = 'T-1'): WrittenRecord {
  return { time: at(minutes), vehicleId, action, line: minutes + 1000 };
}

function seen(minutes: number, kind: 'coupling' | 'uncoupling', vehicleId = 'T-1') {
  return {
    episodeId: `${vehicleId}-${minutes}`,
    kind,
    vehicleId,
    driverId: null,
    loadTransferTime: at(minutes),
    siteId: null,
    trailerLoad: 'empty',
    confidence: 0.99,
  };
}

const speed = { signal: 'speedKph', mode: 'periodic', everySeconds: 1, rows: 9, share: 1 } as const;
const day: Covered = { firstTime: at(-60), lastTime: at(600), loadSignal: 'suspensionKpa', signals: [speed] };
const trucks = new Map<string, Covered>([
  ['T-1', day],
  ['T-2', { ...day, loadSignal: null }],
]);

describe('matching records to episodes', () => {
  it('pairs the same truck and kind within the window, nearest first', () => {
    const { matched, recordOnly, episodeOnly, summary } = matchWork(
      [record(0, 'hook'), record(5, 'drop'), record(300, 'hook')],
      [seen(4, 'coupling'), seen(290, 'coupling'), seen(100, 'uncoupling')],
      trucks,
      60,
    );
    expect(matched.map((one) => [one.record.time, one.episode.episodeId, one.secondsLater])).toEqual([
      [at(0), 'T-1-4', -240],
      [at(300), 'T-1-290', 600],
    ]);
    expect(recordOnly).toMatchObject([{ record: { time: at(5) }, reason: 'not-seen', otherKindSecondsLater: 60 }]);
    expect(episodeOnly).toMatchObject([{ episode: { episodeId: 'T-1-100' }, reason: 'no-record' }]);
    expect(summary.all).toMatchObject({ records: 3, found: 2, share: 0.666667 });
    expect(summary.hooks).toMatchObject({ records: 2, found: 2, high: 1 });
    expect(summary.drops).toMatchObject({ records: 1, found: 0, low: 0 });
    expect(summary.medianSecondsLater).toBe(180);
  });

  it('never pairs another truck', () => {
    const { matched, episodeOnly } = matchWork([record(0, 'hook')], [seen(0, 'coupling', 'T-3')], trucks, 60);
    expect(matched).toEqual([]);
    expect(episodeOnly).toMatchObject([{ reason: 'vehicle-not-in-work' }]);
  });

  it('counts only what the readings cover, a truck that shows no load included', () => {
    const records = [record(-120, 'hook'), record(700, 'drop'), record(0, 'hook', 'T-9'), record(0, 'hook', 'T-2')];
    const { recordOnly, summary } = matchWork(records, [], trucks, 60);
    expect(new Map(recordOnly.map((one) => [`${one.record.vehicleId} ${one.record.time}`, one.reason]))).toEqual(
      new Map([
        [`T-1 ${at(-120)}`, 'outside-readings'],
        [`T-1 ${at(700)}`, 'outside-readings'],
        [`T-9 ${at(0)}`, 'no-readings'],
        [`T-2 ${at(0)}`, 'blind-truck'],
      ]),
    );
    expect(summary.all).toMatchObject({ records: 1, found: 0 });
  });

  it('does not ask of dispatch what lies outside its file', () => {
    const { episodeOnly } = matchWork([record(0, 'hook')], [seen(0, 'coupling'), seen(200, 'uncoupling')], trucks, 60);
    expect(episodeOnly).toMatchObject([{ reason: 'outside-work' }]);
  });

  it('knows nothing of an empty work file, and says so', () => {
    const { summary, episodeOnly } = matchWork([], [seen(0, 'coupling')], trucks, 60);
    expect(summary).toMatchObject({ all: { records: 0, share: null, low: 0, high: 1 }, medianSecondsLater: null });
    expect(episodeOnly).toMatchObject([{ reason: 'vehicle-not-in-work' }]);
  });

  it('says the same whatever the order of records and episodes', () => {
    const records = [record(0, 'hook'), record(20, 'hook'), record(90, 'drop'), record(5, 'hook', 'T-2')];
    const episodes = [seen(12, 'coupling'), seen(80, 'uncoupling'), seen(18, 'coupling')];
    const result = workResults(matchWork(records, episodes, trucks, 60));
    expect(
      workResults(
        matchWork(
          records.toReversed().sort((a, b) => (a.time < b.time ? -1 : 1)),
          episodes.toReversed(),
          trucks,
          60,
        ),
      ),
    ).toEqual(result);
    for (const one of result) expect(workMatchSchema.parse(one)).toEqual(one);
  });
});

it('only couplings and uncouplings can be matched', () => {
  const episode = { ...seen(0, 'coupling'), kind: 'attempt' } as unknown as WireEpisode;
  expect(matchable(episode)).toBeNull();
  expect(matchable({ ...episode, kind: 'uncoupling', more: 1 } as unknown as WireEpisode)).toEqual({
    ...seen(0, 'uncoupling'),
  });
});
