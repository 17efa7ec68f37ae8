/** Episodes, their checks and anomalies as analyses come and go: ids are kept, nothing is deleted, nothing is told twice. */
import type { WireCheck, WireEpisode } from '@gearhold/policy';
import { BatchBuilder } from '@gearhold/signals';
import {
  allChecks,
  anomaliesTurned,
  changesAfter,
  countByWeek,
  type Engine,
  type EvidenceRows,
  episodeHistory,
  episodesOfVehicle,
  type FoundEpisode,
  findChecks,
  keepPolicy,
  lockVehicle,
  readEpisode,
  readEvidence,
  storeReadings,
  writeEpisodes,
} from '@gearhold/store';
import { expect, it } from 'vitest';
import { nowMs, onEveryEngine } from './engines.ts';

const dayMs = 86_400_000;
const middayMs = Date.UTC(2026, 2, 2, 12);
const whole = { fromMs: middayMs - dayMs, untilMs: middayMs + dayMs };
const iso = (timeMs: number) => new Date(timeMs).toISOString();

function check(name: string, outcome: WireCheck['outcome'], value: number | null = 11.5): WireCheck {
  return {
    check: name,
    outcome,
    measured: value === null ? null : { value, low: value, high: null, unit: '%' },
    limit: { maxAcceleratorPct: 2, sustainedSeconds: 1 },
    window: { start: iso(middayMs - 5000), end: iso(middayMs) },
    concern: 'driver',
    urgency: 'routine',
    reason: 'accelerator at 11.5 % for 3.0 s while reversing under the trailer',
    reasonParts: { text: 'accelerator at {held}', values: { held: { value: 11.5, unit: '%' } } },
  };
}

function episode(
  vehicleId: string,
  minutes: number,
  checks: WireCheck[],
  change: Partial<WireEpisode> = {},
): WireEpisode {
  const timeMs = middayMs + minutes * 60_000;
  return {
    episodeId: `${vehicleId}-${minutes}`,
    kind: 'coupling',
    vehicleId,
    driverId: 'D-31',
    driverBasis: 'reported',
    startTime: iso(timeMs - 120_000),
    loadTransferTime: iso(timeMs),
    endTime: iso(timeMs + 300_000),
    position: { latitude: 41.1, longitude: -95.9 },
    siteId: 'north-yard',
    pressureBeforeKpa: 62,
    pressureAfterKpa: 171,
    trailerLoad: 'empty',
    suspensionDumped: null,
    milestones: { approachTime: iso(timeMs - 120_000), tugTestTimes: [] },
    milestoneBounds: { approachTime: null, tugTestTimes: [] },
    confidence: 0.98,
    ...change,
    checks,
  };
}

const evidence: EvidenceRows = {
  columns: [
    { name: 'speedKph', unit: 'km/h' },
    { name: 'gear', unit: '1' },
  ],
  timesMs: Float64Array.of(middayMs - 0.5, middayMs),
  driverIds: ['D-31', null],
  values: Float64Array.of(0.1, Number.NaN, 3.3, Number.NaN),
};

interface Analysis {
  readonly engine: Engine;
  readonly vehicleId: string;
  readonly found: readonly WireEpisode[];
  readonly atMs?: number;
  readonly standing?: Partial<FoundEpisode>;
}

/** What an analysis of the whole day does with the store. */
async function analysed({ engine, vehicleId, found, atMs = nowMs, standing }: Analysis) {
  const builder = new BatchBuilder(0, 1);
  builder.begin();
  builder.add(vehicleId, null, middayMs - dayMs);
  await storeReadings(engine, builder.take());
  return engine.transaction(async (transaction) => {
    await lockVehicle(transaction, vehicleId);
    const policyId = await keepPolicy(transaction, '{"version":1}');
    const episodes = found.map((wire) => ({
      wire,
      policyId,
      closed: true,
      siteTerminal: 'north',
      vehicleTerminal: 'south',
      driverTerminal: null,
      severities: { 'backing-above-idle': 0.5 },
      evidence,
      arrivedLate: false,
      ...standing,
    }));
    return writeEpisodes(transaction, vehicleId, whole, episodes, atMs);
  });
}

const idsOf = (vehicleId: string) => [`${vehicleId}-0`];
const nothing = { added: [], changed: [], withdrawn: [], returned: [], unchanged: [] };

onEveryEngine('episodes', (store) => {
  it('come back as they were judged, with their evidence', async () => {
    const wire = episode('whole', 0, [
      check('backing-above-idle', 'missed'),
      check('tug-test-count', 'undetermined', null),
    ]);
    expect(await analysed({ engine: store(), vehicleId: 'whole', found: [wire] })).toEqual({
      ...nothing,
      added: idsOf('whole'),
    });
    const stored = await readEpisode(store(), 'whole-0');
    expect(JSON.stringify(stored?.wire)).toBe(JSON.stringify(wire));
    expect(stored).toMatchObject({
      revision: 1,
      state: 'active',
      terminal: 'north',
      firstSeenMs: nowMs,
      changedMs: nowMs,
    });
    expect(await readEvidence(store(), 'whole-0')).toEqual(evidence);
  });

  it('that an analysis finds again unchanged are left alone', async () => {
    const found = [episode('again', 0, [check('backing-above-idle', 'missed')])];
    await analysed({ engine: store(), vehicleId: 'again', found });
    const last = (await changesAfter(store(), 0, 10_000)).length;
    const second = await analysed({ engine: store(), vehicleId: 'again', found, atMs: nowMs + dayMs });
    expect(second).toEqual({ ...nothing, unchanged: idsOf('again') });
    expect(await readEpisode(store(), 'again-0')).toMatchObject({ revision: 1, changedMs: nowMs });
    expect(await episodeHistory(store(), 'again-0')).toEqual([]);
    expect((await changesAfter(store(), 0, 10_000)).length).toBe(last);
  });

  it('that overlap a stored one keep its id, and what it said before stays in the history', async () => {
    const before = episode('kept', 0, [check('backing-above-idle', 'missed')]);
    await analysed({ engine: store(), vehicleId: 'kept', found: [before] });
    const after = episode('kept', 1, [check('backing-above-idle', 'undetermined')]);
    const second = await analysed({ engine: store(), vehicleId: 'kept', found: [after], atMs: nowMs + dayMs });
    expect(second).toEqual({ ...nothing, changed: ['kept-0'] });
    const stored = await readEpisode(store(), 'kept-0');
    expect(stored).toMatchObject({ revision: 2, state: 'active', loadTransferMs: middayMs + 60_000 });
    expect(stored?.wire).toEqual({ ...after, episodeId: 'kept-0' });
    const [said, ...more] = await episodeHistory(store(), 'kept-0');
    expect(more).toEqual([]);
    expect(said).toMatchObject({
      revision: 1,
      state: 'active',
      saidFromMs: nowMs,
      saidUntilMs: nowMs + dayMs,
      wire: before,
    });
  });

  it('that are found no more are withdrawn, not deleted, and come back under their id', async () => {
    const wire = episode('gone', 0, [check('backing-above-idle', 'missed')]);
    await analysed({ engine: store(), vehicleId: 'gone', found: [wire] });
    const without = await analysed({ engine: store(), vehicleId: 'gone', found: [], atMs: nowMs + 1 });
    expect(without).toEqual({ ...nothing, withdrawn: idsOf('gone') });
    expect(await readEpisode(store(), 'gone-0')).toMatchObject({ state: 'withdrawn', revision: 2, wire });
    expect(await findChecks(store(), { vehicles: ['gone'] }, { order: 'oldest-first', limit: 10 })).toEqual([]);
    const again = await analysed({ engine: store(), vehicleId: 'gone', found: [wire], atMs: nowMs + 2 });
    expect(again).toEqual({ ...nothing, returned: idsOf('gone') });
    expect(await readEpisode(store(), 'gone-0')).toMatchObject({ state: 'active', revision: 3, wire });
    const told = (await changesAfter(store(), 0, 10_000)).filter(({ subjectId }) => subjectId.startsWith('gone-0'));
    expect(told.map(({ subject, change, revision }) => [subject, change, revision])).toEqual([
      ['episode', 'added', 1],
      ['anomaly', 'added', 1],
      ['episode', 'withdrawn', 2],
      ['anomaly', 'withdrawn', 2],
      ['episode', 'returned', 3],
      ['anomaly', 'returned', 3],
    ]);
  });

  it('tell since when their anomalies turned: found, found again, or no longer proven', async () => {
    const turn = (outcome: WireCheck['outcome'], days: number) =>
      analysed({
        engine: store(),
        vehicleId: 'turn',
        found: [episode('turn', 0, [check('backing-above-idle', outcome)])],
        atMs: nowMs + days * dayMs,
      });
    const turned = async (sinceDays: number, untilMs = middayMs + dayMs) =>
      (await anomaliesTurned(store(), { untilMs, sinceMs: nowMs + sinceDays * dayMs }))
        .filter(({ wire }) => wire.vehicleId === 'turn')
        .map((one) => [one.state, one.check.outcome, one.wire.checks.length]);
    await turn('missed', 10);
    expect(await turned(10)).toEqual([['open', 'missed', 1]]);
    expect(await turned(11)).toEqual([]);
    expect(await turned(10, middayMs)).toEqual([]);
    await turn('met', 12);
    expect(await turned(11)).toEqual([['withdrawn', 'missed', 1]]);
    // Nobody who looked last before it was found has anything to take back.
    expect(await turned(9)).toEqual([]);
    await turn('missed', 14);
    expect(await turned(13)).toEqual([['open', 'missed', 1]]);
    await analysed({ engine: store(), vehicleId: 'turn', found: [], atMs: nowMs + 16 * dayMs });
    expect(await turned(15)).toEqual([['withdrawn', 'missed', 1]]);
  });

  it('never take the id of another one, however they move', async () => {
    await analysed({ engine: store(), vehicleId: 'moves', found: [episode('moves', 0, [])] });
    // The first is seen to have been later by minutes, and another one stands where it stood.
    const later = episode('moves', 4, [], { startTime: iso(middayMs + 200_000) });
    const first = episode('moves', 0, [], { endTime: iso(middayMs + 100_000) });
    const other = { ...first, kind: 'uncoupling' };
    const written = await analysed({ engine: store(), vehicleId: 'moves', found: [other, later] });
    expect(written).toEqual({ ...nothing, changed: ['moves-0'], added: ['moves-0-2'] });
    expect((await episodesOfVehicle(store(), 'moves', whole)).map(({ episodeId, kind }) => [episodeId, kind])).toEqual([
      ['moves-0-2', 'uncoupling'],
      ['moves-0', 'coupling'],
    ]);
  });

  it('before what was pruned are not touched: their readings can no longer speak against them', async () => {
    await analysed({ engine: store(), vehicleId: 'pruned', found: [episode('pruned', 0, [])] });
    await store().query(`update vehicle_progress set pruned_before = $1 where vehicle_id = 'pruned'`, [
      iso(middayMs + 1),
    ]);
    expect(await analysed({ engine: store(), vehicleId: 'pruned', found: [] })).toEqual(nothing);
    expect(await readEpisode(store(), 'pruned-0')).toMatchObject({ state: 'active' });
  });

  it('answer every filter, in pages that neither skip nor repeat', async () => {
    const vehicleId = 'pages';
    const found = Array.from({ length: 7 }, (_, i) =>
      episode(
        vehicleId,
        i * 60,
        [check('backing-above-idle', i % 2 ? 'missed' : 'met'), check('tug-test-count', 'undetermined', null)],
        { siteId: `site-${i % 3}`, driverId: `D-${i % 2}` },
      ),
    );
    await analysed({ engine: store(), vehicleId, found, standing: { siteTerminal: 'paged' } });
    const keys = async (filter: object, limit: number, order: 'oldest-first' | 'newest-first') => {
      const seen: string[] = [];
      for await (const row of allChecks(store(), { vehicles: [vehicleId], ...filter }, { order, limit })) {
        seen.push(`${row.episodeId}/${row.check.check}`);
      }
      return seen;
    };
    const all = found.flatMap(({ episodeId, checks }) => checks.map((row) => `${episodeId}/${row.check}`));
    for (const limit of [1, 3, 14, 100]) {
      expect(await keys({}, limit, 'oldest-first')).toEqual(all);
      expect(await keys({}, limit, 'newest-first')).toEqual(all.toReversed());
    }
    const missed = all.filter((_, i) => i % 4 === 2);
    expect(await keys({ outcomes: ['missed'] }, 2, 'oldest-first')).toEqual(missed);
    expect(
      await keys(
        { outcomes: ['missed'], terminals: ['paged'], concerns: ['driver'], urgencies: ['routine'] },
        2,
        'oldest-first',
      ),
    ).toEqual(missed);
    expect(await keys({ outcomes: ['met', 'missed'], checks: ['tug-test-count'] }, 5, 'oldest-first')).toEqual([]);
    expect(
      await keys({ sites: ['site-1', 'site-2'], drivers: ['D-1'], checks: ['tug-test-count'] }, 5, 'oldest-first'),
    ).toEqual(['pages-60/tug-test-count', 'pages-300/tug-test-count']);
    expect(await keys({ sinceMs: middayMs + 3_600_000, untilMs: middayMs + 7_200_000 }, 5, 'oldest-first')).toEqual(
      all.slice(2, 4),
    );
    expect(await keys({ firstSeenSinceMs: nowMs }, 5, 'oldest-first')).toEqual(missed);
    expect(await keys({ firstSeenSinceMs: nowMs + 1 }, 5, 'oldest-first')).toEqual([]);
    const [row] = await findChecks(
      store(),
      { vehicles: [vehicleId], outcomes: ['missed'] },
      { order: 'oldest-first', limit: 1 },
    );
    const { checks, ...withoutChecks } = found[1]!;
    expect(row).toMatchObject({
      check: checks[0],
      episode: withoutChecks,
      terminal: 'paged',
      policyId: expect.any(String),
    });
    expect(row?.anomaly).toEqual({
      anomalyId: 'pages-60/backing-above-idle',
      arrivedLate: false,
      firstSeenMs: nowMs,
      changedMs: nowMs,
    });
  });

  it('are counted by week and outcome in the zone of the fleet', async () => {
    // Midnight from Sunday to Monday in Chicago, whose clocks went forward that Sunday.
    const midnightMinutes = (Date.UTC(2026, 2, 9, 5) - middayMs) / 60_000;
    const vehicleId = 'weeks';
    const found = [-1, 0, 1].map((minutes) =>
      episode(vehicleId, midnightMinutes + minutes, [check('weekly', minutes < 0 ? 'met' : 'missed')], {
        startTime: iso(middayMs + (midnightMinutes + minutes) * 60_000),
        endTime: iso(middayMs + (midnightMinutes + minutes) * 60_000),
      }),
    );
    await analysed({ engine: store(), vehicleId, found });
    const span = { sinceMs: middayMs, untilMs: middayMs + 30 * dayMs, zone: 'America/Chicago' };
    expect(await countByWeek(store(), 'weekly', span)).toEqual([
      { week: '2026-03-02', outcome: 'met', count: 1 },
      { week: '2026-03-09', outcome: 'missed', count: 2 },
    ]);
  });
});
