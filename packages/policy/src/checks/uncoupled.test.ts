import type { LoadLoss } from '@gearhold/episodes';
import { interval } from '@gearhold/episodes';
import { describe, expect, it } from 'vitest';
import { render } from '../statement.ts';
import { ask } from '../testing/ask.ts';
import { drive, falling, type Leg } from '../testing/drive.ts';
import { at, evidenceOf, type Row, uncouplingOf } from '../testing/scene.ts';

const stand: Leg = { seconds: 60, kpa: 160, speedKph: 0, gear: 0, parkingBrake: 1 };
const pull: Leg = { seconds: 3, kpa: falling, speedKph: 3, gear: 1, parkingBrake: 0 };

describe('load back on the fifth wheel', () => {
  const left = (hold: Leg['kpa'], levels = {}, pulling = pull) =>
    uncouplingOf(
      drive([
        stand,
        pulling,
        { seconds: 40, kpa: hold, speedKph: 0, gear: 0, parkingBrake: 1 },
        { seconds: 30, kpa: 60, speedKph: 8, gear: 2, parkingBrake: 0 },
      ]),
      { stand: 0, pull: 60, release: 62, transfer: 61.5, clear: 104 },
      levels,
    );

  it('is met where none came back', () => {
    expect(ask('load-returned', left(60))).toMatchObject({ outcome: 'met', measured: { low: 0, high: 0, unit: '%' } });
  });

  it('is missed where most of it came back for some seconds', () => {
    const check = ask(
      'load-returned',
      left((into) => (into >= 15 && into < 25 ? 150 : 60)),
    );
    expect(check).toMatchObject({ outcome: 'missed', concern: 'unclear', urgency: 'today' });
    expect(check.measured!.low).toBeGreaterThan(80);
  });

  it('stays undetermined by one sample alone', () => {
    expect(
      ask(
        'load-returned',
        left((into) => (into === 15 ? 150 : 60)),
        { sustainedSeconds: 2 },
      ).outcome,
    ).toBe('undetermined');
  });

  /** Dumped before the pull, filled again to the tractor's own 90 kPa after it. */
  const refilled = (bobtail: number | null, most = 90) =>
    uncouplingOf(
      drive([
        { ...stand, seconds: 40 },
        { ...stand, seconds: 20, kpa: 5 },
        { ...pull, kpa: 5 },
        { seconds: 40, kpa: (into) => Math.min(most, 5 + 10 * into), speedKph: 0, gear: 0, parkingBrake: 1 },
        { seconds: 30, kpa: 90, speedKph: 8, gear: 2, parkingBrake: 0 },
      ]),
      { stand: 0, dump: 42, pull: 60, release: 62, transfer: 41, clear: 104 },
      { levelAfter: 5 },
      { learned: { bobtail } },
    );

  it('takes no refilled spring for a load that came back', () => {
    expect(ask('load-returned', refilled(90))).toMatchObject({ outcome: 'undetermined', measured: { low: 0 } });
    expect(ask('load-returned', refilled(null), { maxReturnedPct: 30 })).toMatchObject({
      outcome: 'undetermined',
      measured: { low: 0 },
    });
  });

  it('still proves a load that comes back to refilled springs', () => {
    expect(ask('load-returned', refilled(90, 155))).toMatchObject({ outcome: 'missed' });
  });

  it('proves nothing where the load was off, on again, and off for good: it may have been taken again', () => {
    const again = uncouplingOf(
      drive([
        { ...stand, seconds: 30 },
        pull,
        { seconds: 10, kpa: 60, speedKph: 0, gear: 0, parkingBrake: 1 },
        { seconds: 17, kpa: 160, speedKph: 0, gear: 0, parkingBrake: 1 },
        pull,
        { seconds: 40, kpa: 60, speedKph: 8, gear: 2, parkingBrake: 0 },
      ]),
      { stand: 0, pull: 60, release: 62, transfer: 61.5, clear: 70 },
    );
    expect(ask('load-returned', again)).toMatchObject({ outcome: 'undetermined', measured: { low: 0, high: 100 } });
  });

  it('does not take a fall that lags behind the pull for a return', () => {
    const lagging = { ...pull, kpa: (into: number) => 160 - 4 * into };
    expect(
      ask(
        'load-returned',
        left((into) => Math.max(60, 148 - 8 * into), {}, lagging),
      ).outcome,
    ).toBe('met');
  });

  it('proves nothing of a small load', () => {
    expect(ask('load-returned', left(60, { levelBefore: 66 })).outcome).toBe('undetermined');
  });
});

describe('springs filled before driving away', () => {
  /** Dumps, pulls out, and drives at a speed; springs fill after so many seconds of driving. */
  const dumped = (kph: number, filledAfter: number, changes = {}) =>
    uncouplingOf(
      drive([
        { ...stand, seconds: 20 },
        { ...stand, seconds: 40, kpa: (into) => Math.max(5, 160 - 20 * into) },
        {
          seconds: 60,
          kpa: (into) => (into < filledAfter ? 5 : Math.min(60, 5 + 10 * (into - filledAfter))),
          speedKph: kph,
          gear: 2,
          parkingBrake: 0,
        },
      ]),
      { stand: 0, dump: 28, pull: 60, release: 28, transfer: 24, clear: 70 },
      changes,
    );

  it('is met where they were filled while the truck crept', () => {
    expect(ask('airbags-restored', dumped(6, 10))).toMatchObject({ outcome: 'met', measured: { unit: 'km/h' } });
  });

  it('is missed where it drove faster than a walk on exhausted springs', () => {
    expect(ask('airbags-restored', dumped(25, 30))).toMatchObject({
      outcome: 'missed',
      measured: { value: 25, low: 24.5 },
    });
  });

  it('has no upper bound where they were never seen filled', () => {
    expect(ask('airbags-restored', dumped(6, 600))).toMatchObject({
      outcome: 'undetermined',
      measured: { high: null },
    });
  });

  it('is not asked without a dump, and unknown where the data cannot say', () => {
    expect(ask('airbags-restored', dumped(25, 30, { suspensionDumped: false })).outcome).toBe('not-applicable');
    expect(ask('airbags-restored', dumped(25, 30, { suspensionDumped: null })).outcome).toBe('undetermined');
  });
});

describe('ground under a loaded trailer', () => {
  const site = (bearsLoadedTrailer?: boolean) => ({
    siteId: 'lot',
    circle: { latitude: 0, longitude: 0, radiusM: 100 },
    ...(bearsLoadedTrailer !== undefined && { bearsLoadedTrailer }),
  });
  type Load = 'empty' | 'part' | 'loaded' | 'unknown';
  const truck = (loadedKpa?: number) => ({
    vehicleId: 'T-1',
    liftAxle: false as boolean | undefined,
    levels: { ...(loadedKpa !== undefined && { loadedKpa }) },
  });
  const here = { latitude: 0, longitude: 0 };
  const left = (trailerLoad: Load, levelBefore = trailerLoad === 'part' ? 260 : 420, place: Partial<Row> = here) =>
    uncouplingOf(
      drive([
        { ...stand, ...place },
        { ...pull, ...place },
        { ...pull, ...place, seconds: 20, kpa: 60 },
      ]),
      { pull: 60, release: 62, transfer: 62, clear: 70 },
      { trailerLoad, levelBefore },
    );
  const judged = (
    episode: ReturnType<typeof left>,
    where: ReturnType<typeof site> | null,
    { change = {}, marginM = 60, vehicle = truck(430) as ReturnType<typeof truck> | null } = {},
  ) => ask('loaded-drop-surface', episode, change, { site: where, marginM, vehicle });
  const on = (load: Load, where: ReturnType<typeof site> | null, change = {}) => judged(left(load), where, { change });

  it('is missed, as a matter for the yard, where the sites file says that it does not bear one', () => {
    expect(on('loaded', site(false))).toMatchObject({ outcome: 'missed', concern: 'yard', urgency: 'today' });
  });

  it('proves nothing of a load that a raised lift axle may have added, unless the truck has none', () => {
    for (const liftAxle of [undefined, true])
      expect(judged(left('loaded'), site(false), { vehicle: { ...truck(430), liftAxle } }).outcome).toBe(
        'undetermined',
      );
  });

  it('is met where it says that it does', () => {
    expect(on('loaded', site(true)).outcome).toBe('met');
    expect(on('unknown', site(true)).outcome).toBe('met');
  });

  it('is unknown where the file is silent, or the load is not known', () => {
    expect(on('loaded', null).outcome).toBe('undetermined');
    expect(on('loaded', site()).outcome).toBe('undetermined');
    expect(on('unknown', site(false)).outcome).toBe('undetermined');
  });

  it('is unknown where the load lies near the limit of loaded', () => {
    expect(judged(left('loaded', 325), site(false)).outcome).toBe('undetermined');
    expect(judged(left('loaded', 345), site(false)).outcome).toBe('missed');
  });

  it('is never missed by a full level that was only learned: it may be that of a part load', () => {
    const learned = judged(left('loaded'), site(false), { vehicle: null });
    expect(learned.outcome).toBe('undetermined');
    expect(render(learned.statement)).toMatch(/state loadedKpa/);
    expect(judged(left('loaded'), site(false), { vehicle: truck() }).outcome).toBe('undetermined');
    expect(judged(left('loaded'), site(false), { vehicle: truck(300) }).outcome).toBe('undetermined');
  });

  it('is unknown near the edge of the site, and without a position of the time', () => {
    for (const bears of [true, false]) {
      expect(judged(left('loaded'), site(bears), { marginM: 19 }).outcome).toBe('undetermined');
      expect(judged(left('loaded', 420, {}), site(bears)).outcome).toBe('undetermined');
      const unplaced = { site: site(bears), vehicle: truck(430) };
      expect(ask('loaded-drop-surface', left('loaded'), {}, unplaced).outcome).toBe('undetermined');
    }
  });

  it('is asked of a part load only where the policy says so', () => {
    expect(on('part', site(false)).outcome).toBe('not-applicable');
    expect(on('part', site(false), { fromLoad: 'part' }).outcome).toBe('missed');
    expect(on('empty', site(false)).outcome).toBe('not-applicable');
  });
});

describe('parking brake before leaving a trailer', () => {
  const stood = (parkingBrake: number) =>
    uncouplingOf(
      drive([
        { seconds: 30, kpa: 160, speedKph: 8, gear: 2, parkingBrake: 0 },
        { ...stand, seconds: 120, parkingBrake },
        pull,
        { ...pull, seconds: 30, kpa: 60, speedKph: 8 },
      ]),
      { stand: 30, pull: 150, release: 152, transfer: 151.5, clear: 160 },
    );

  it('is met where it was set while nobody was at the controls', () => {
    expect(ask('parking-brake-set', stood(1)).outcome).toBe('met');
    expect(ask('parking-brake-set', stood(0)).outcome).toBe('undetermined');
  });
});

describe('load lost under way', () => {
  const lost = (kph: number, kpaBefore: number | ((into: number) => number) = 160): LoadLoss => {
    const rows = drive([
      { seconds: 60, kpa: kpaBefore, speedKph: kph, gear: 8 },
      { seconds: 60, kpa: 60, speedKph: kph, gear: 8 },
    ]);
    return {
      ...uncouplingOf(rows, { pull: 10, release: 60, transfer: 60 }),
      kind: 'load-loss',
      loadTransferTime: interval(at(59), at(60)),
      milestones: {},
      evidence: evidenceOf(rows),
    };
  };

  it('is urgent at 62 km/h', () => {
    const check = ask('load-lost-under-way', lost(62));
    expect(check).toMatchObject({
      outcome: 'missed',
      concern: 'unclear',
      urgency: 'urgent',
      measured: { low: 62, high: 62 },
    });
  });

  it('is met at walking pace, where it is no loss under way', () => {
    expect(ask('load-lost-under-way', lost(6)).outcome).toBe('met');
  });

  it('proves nothing where the load had been going for a while', () => {
    const going = lost(62, (t) => 160 - Math.min(100, Math.max(0, t - 40) * 4));
    expect(ask('load-lost-under-way', going).outcome).toBe('undetermined');
  });
});
