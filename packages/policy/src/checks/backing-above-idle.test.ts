import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ask } from '../testing/ask.ts';
import { at, couplingOf, evidenceOf, type Row, rowsEvery } from '../testing/scene.ts';

/**
 * Stands braked until 20 s, backs at 3 km/h until 40 s, load from 36 s on, then stands. `pedal` gives the accelerator, %;
 * engine speed never repeats, so that no row is a stale copy.
 */
function backing(pedal: (t: number) => number, seconds = 1, to = 70): Row[] {
  return rowsEvery(seconds, 0, to, (t) => {
    const moving = t > 20 && t < 40;
    return {
      speedKph: moving ? 3 : 0,
      gear: t >= 19 && t <= 40 ? -1 : 0,
      parkingBrake: t < 19 || t > 42 ? 1 : 0,
      serviceBrake: t >= 18 && t <= 20 ? 1 : 0,
      suspensionKpa: t < 36 ? 60 : Math.min(160, 60 + 30 * (t - 36)),
      acceleratorPct: pedal(t),
      engineRpm: 650 + ((t * 7) % 20),
    };
  });
}

const times = { approach: 20.2, contact: 36.2, transfer: 38, seated: 40, departure: 70 };
const backed = (pedal: (t: number) => number, seconds = 1) =>
  couplingOf(backing(pedal, seconds), times, {}, { cadence: { usualMs: seconds * 1000 } });

describe('backing above idle, by the accelerator', () => {
  it('is missed where a position above the limit was held', () => {
    const check = ask(
      'backing-above-idle',
      backed((t) => (t >= 30 && t <= 33 ? 11.5 : 0)),
    );
    expect(check.outcome).toBe('missed');
    expect(check.measured).toEqual({ value: 11.5, low: 11.5, high: 11.5, unit: '%' });
    expect(check.limit).toEqual({ maxAcceleratorPct: 2, sustainedSeconds: 1 });
    expect(check.statement.values.held).toEqual({ value: 3, unit: 's' });
  });

  it('is met where every sample of the run is below the limit', () => {
    const check = ask(
      'backing-above-idle',
      backed(() => 0.8),
    );
    expect(check).toMatchObject({ outcome: 'met', measured: { high: 0.8 } });
  });

  it('stays undetermined by one high sample alone', () => {
    const check = ask(
      'backing-above-idle',
      backed((t) => (t === 30 ? 40 : 0)),
    );
    expect(check).toMatchObject({ outcome: 'undetermined', measured: { low: 0, high: 40 } });
  });

  it('ignores a spike of 0.1 s at 10 Hz, which nobody can have held', () => {
    const check = ask(
      'backing-above-idle',
      backed((t) => (t === 30 ? 40 : 0), 0.1),
    );
    expect(check).toMatchObject({ outcome: 'met', measured: { high: 0 } });
  });

  it('stays undetermined where it moved, perhaps backing, after what was taken for the seat and before any load', () => {
    const rows = backing((t) => (t >= 30 && t <= 36 ? 15 : 0)).map(({ gear: _, ...row }) => row);
    const check = ask('backing-above-idle', couplingOf(rows, { ...times, approach: 10.2, seated: 15 }));
    expect(check).toMatchObject({ outcome: 'undetermined', measured: { low: 0, high: 15 } });
  });

  it('does not look at the pedal before the run or after it', () => {
    expect(
      ask(
        'backing-above-idle',
        backed((t) => (t < 18 || t > 43 ? 30 : 0)),
      ).outcome,
    ).toBe('met');
  });

  it('is not met by an earlier backing where the truck reversed again before any load came on', () => {
    const rows = rowsEvery(1, 0, 90, (t) => {
      const moving = (t > 20 && t < 30) || (t > 50 && t < 60);
      return {
        speedKph: moving ? 3 : 0,
        gear: t >= 19 && t <= 60 ? -1 : 0,
        parkingBrake: moving ? 0 : 1,
        suspensionKpa: t < 58 ? 60 : Math.min(160, 60 + 30 * (t - 58)),
        acceleratorPct: t > 50 && t < 60 ? 20 : 0,
        engineRpm: 650 + ((t * 7) % 20),
      };
    });
    const early = couplingOf(rows, { approach: 20.2, contact: 58.2, transfer: 60, seated: 30, departure: 90 });
    expect(ask('backing-above-idle', early)).toMatchObject({ outcome: 'undetermined', measured: { high: 20 } });
  });

  it('subtracts what the released pedal reads', () => {
    const rests = backed((t) => (t >= 30 && t <= 33 ? 6 : 4.5));
    const learned = { ...rests.evidence.learned, releasedPedalPct: 4.5 };
    const check = ask('backing-above-idle', { ...rests, evidence: { ...rests.evidence, learned } });
    expect(check).toMatchObject({ outcome: 'met', measured: { low: 1.5, high: 1.5 } });
  });

  it('grants an unlearned released reading up to the lowest sample', () => {
    const rests = backed(() => 4.5);
    const learned = { ...rests.evidence.learned, releasedPedalPct: null };
    const check = ask('backing-above-idle', { ...rests, evidence: { ...rests.evidence, learned } });
    expect(check).toMatchObject({ outcome: 'undetermined', measured: { low: 0, high: 4.5 } });
  });

  it('has no upper bound through a gap of more than 1.5 s in the run', () => {
    const rows = backing(() => 0).filter((row) => row.t !== 29);
    const check = ask('backing-above-idle', couplingOf(rows, times));
    expect(check).toMatchObject({ outcome: 'undetermined', measured: { low: 0, high: null } });
  });

  it('takes a lost sample between two high ones as the end of the proof', () => {
    const rows = backing((t) => (t >= 30 && t <= 32 ? 20 : 0)).filter((row) => row.t !== 31);
    expect(ask('backing-above-idle', couplingOf(rows, times)).outcome).toBe('undetermined');
  });

  it('takes a frozen row for no sample', () => {
    const rows = backing((t) => (t === 30 ? 20 : 0)).map((row) => (row.t === 31 ? { ...frozenAt30(), t: 31 } : row));
    expect(ask('backing-above-idle', couplingOf(rows, times)).outcome).toBe('undetermined');
  });

  it('proves nothing on samples 5 s apart', () => {
    expect(
      ask(
        'backing-above-idle',
        backed(() => 20, 5),
      ).outcome,
    ).toBe('undetermined');
  });

  it('counts only the reversing after the last standstill of 3 s', () => {
    const rows = backing((t) => (t >= 22 && t <= 25 ? 20 : 0)).map((row) =>
      row.t >= 27 && row.t <= 33 ? { ...row, speedKph: 0, serviceBrake: 1 } : row,
    );
    const check = ask('backing-above-idle', couplingOf(rows, { ...times, approach: 33.2 }));
    expect(check.outcome).toBe('met');
  });

  it('proves nothing where the standstill may or may not have lasted 3 s', () => {
    const rows = backing((t) => (t >= 22 && t <= 25 ? 20 : 0)).map((row) =>
      row.t >= 27 && row.t <= 29 ? { ...row, speedKph: 0, serviceBrake: 1 } : row,
    );
    expect(ask('backing-above-idle', couplingOf(rows, times)).outcome).toBe('undetermined');
  });

  it('proves nothing where the truck may have crept on below its speed sensor until the load came on', () => {
    const rows = backing((t) => (t >= 30 && t <= 33 ? 20 : 0), 1, 90).map((row) => ({
      ...row,
      parkingBrake: 0,
      gear: row.t >= 19 && row.t <= 60 ? -1 : 0,
      suspensionKpa: row.t < 50 ? 60 : Math.min(160, 60 + 30 * (row.t - 50)),
    }));
    const crept = couplingOf(rows, { approach: 20.2, contact: 50.2, transfer: 52, seated: 54, departure: 90 });
    expect(ask('backing-above-idle', crept).outcome).toBe('undetermined');
  });

  it('judges the reversing just before where the load comes on at a braked standstill', () => {
    const rows = backing((t) => (t >= 30 && t <= 33 ? 20 : 0), 1, 90).map((row) => ({
      ...row,
      parkingBrake: row.t < 19 || row.t > 40 ? 1 : 0,
      serviceBrake: 1,
      suspensionKpa: row.t < 60 ? 60 : Math.min(160, 60 + 30 * (row.t - 60)),
    }));
    const high = couplingOf(rows, { approach: 20.2, contact: 60.2, transfer: 62, seated: 64, departure: 90 });
    expect(ask('backing-above-idle', high)).toMatchObject({ outcome: 'missed', measured: { low: 20 } });
  });
});

function frozenAt30(): Row {
  return backing((t) => (t === 30 ? 20 : 0)).find((row) => row.t === 30)!;
}

describe('backing above idle, from a source that sends only what changed', () => {
  /** The same coupling, its rows thinned to what changed; the milestones are those of all rows. */
  const thinned = (pedal: (t: number) => number) => {
    const last: Record<string, number> = {};
    const rows = backing(pedal).map((row) => {
      const kept: Record<string, number> = { t: row.t };
      for (const [name, value] of Object.entries(row))
        if (last[name] !== value) kept[name] = last[name] = value as number;
      return kept as unknown as Row;
    });
    return { ...backed(pedal), evidence: evidenceOf(rows, { cadence: { mode: 'change-only' } }) };
  };

  it('lets a value stand until the next one is reported', () => {
    const check = ask(
      'backing-above-idle',
      thinned((t) => (t >= 30 && t <= 33 ? 20 : t >= 10 && t < 12 ? 5 : 0)),
    );
    expect(check.outcome).toBe('missed');
    expect(check.measured!.low).toBeGreaterThan(10);
    expect(check.measured!.low).toBeLessThan(20);
  });

  it('widens the upper bound by what the source keeps silent', () => {
    const check = ask(
      'backing-above-idle',
      thinned((t) => (t >= 10 && t < 12 ? 5 : t < 14 ? 0 : 0.5)),
    );
    expect(check.measured!.high).toBeGreaterThan(0.5);
  });
});

describe('backing above idle, by engine speed', () => {
  const engine = (rpm: (t: number) => number) =>
    couplingOf(
      backing(() => 0).map(({ acceleratorPct: _, ...row }) => ({ ...row, engineRpm: rpm(row.t) })),
      times,
    );
  const ripple = (t: number) => 650 + ((t * 7) % 20);

  it('is met where the engine stays near idle', () => {
    const check = ask('backing-above-idle', engine(ripple));
    expect(check).toMatchObject({ outcome: 'met', limit: { maxRpmAboveIdle: 150, sustainedSeconds: 1 } });
    expect(check.measured!.unit).toBe('r/min');
  });

  it('is missed where it rises and varies during the run', () => {
    const foot = (t: number) => (t >= 25 && t <= 32 ? 900 + 60 * ((t * 2) % 5) : ripple(t));
    expect(ask('backing-above-idle', engine(foot)).outcome).toBe('missed');
  });

  it('proves nothing where it was raised before the run began', () => {
    const cold = (t: number) => (t >= 10 && t <= 32 ? 900 + 60 * ((t * 2) % 5) : ripple(t));
    expect(ask('backing-above-idle', engine(cold))).toMatchObject({ outcome: 'undetermined', measured: { low: 0 } });
  });

  it('proves nothing where it rises to one level and stays there', () => {
    const fast = (t: number) => (t >= 25 && t <= 35 ? 950 + ((t * 7) % 20) : ripple(t));
    expect(ask('backing-above-idle', engine(fast)).outcome).toBe('undetermined');
  });

  it('says so where neither is reported', () => {
    const rows = backing(() => 0).map(({ acceleratorPct: _, engineRpm: __, ...row }) => row);
    const check = ask('backing-above-idle', couplingOf(rows, times));
    expect(check).toMatchObject({ outcome: 'undetermined', measured: null });
  });
});

describe('backing above idle that is not asked', () => {
  const pressed = backed(() => 30);
  const site = { siteId: 'hill', sloped: true, circle: { latitude: 0, longitude: 0, radiusM: 10 } };

  it('is not asked at a sloped site', () => {
    expect(ask('backing-above-idle', pressed, {}, { site, vehicle: null }).outcome).toBe('not-applicable');
  });

  it('is not asked of a yard tractor', () => {
    const vehicle = { vehicleId: 'T-1', use: 'yard' as const };
    expect(ask('backing-above-idle', pressed, {}, { site: null, vehicle }).outcome).toBe('not-applicable');
  });
});

describe('backing above idle under change', () => {
  const pedals = fc.array(fc.constantFrom(0, 0, 0, 1, 3, 12, 12, 40), { minLength: 71, maxLength: 71 });

  it('never becomes missed because rows were lost', () => {
    fc.assert(
      fc.property(pedals, fc.array(fc.boolean(), { minLength: 71, maxLength: 71 }), (pedal, keep) => {
        const rows = backing((t) => pedal[t]!);
        const whole = ask('backing-above-idle', couplingOf(rows, times)).outcome;
        const less = rows.filter((row, i) => i === 0 || i === 70 || keep[i] || row.t % 3 === 0);
        const outcome = ask('backing-above-idle', couplingOf(less, times)).outcome;
        if (whole !== 'missed') expect(outcome).not.toBe('missed');
      }),
      { numRuns: 500, seed: 17 },
    );
  });

  it('never turns from missed to met when less is allowed', () => {
    fc.assert(
      fc.property(pedals, fc.integer({ min: 0, max: 40 }), fc.integer({ min: 0, max: 40 }), (pedal, most, less) => {
        const episode = couplingOf(
          backing((t) => pedal[t]!),
          times,
        );
        const wide = ask('backing-above-idle', episode, { maxAcceleratorPct: most }).outcome;
        const narrow = ask('backing-above-idle', episode, { maxAcceleratorPct: Math.max(0, most - less) }).outcome;
        if (wide === 'missed') expect(narrow).toBe('missed');
        if (narrow === 'met') expect(wide).toBe('met');
      }),
      { numRuns: 300, seed: 19 },
    );
  });

  it('holds the true held position of a 10 Hz pedal within the bounds of its 1 Hz samples', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 21, max: 38, noNaN: true }),
        fc.double({ min: 0.1, max: 6, noNaN: true }),
        (from, long) => {
          const pedal = (t: number) => (t >= from && t < from + long ? 15 : 0);
          const { measured } = ask('backing-above-idle', backed(pedal));
          const inRun = Math.min(40, from + long) - from;
          const truth = inRun >= 1 ? 15 : 0;
          expect(measured!.low).toBeLessThanOrEqual(truth);
          if (measured!.high !== null) expect(measured!.high).toBeGreaterThanOrEqual(truth);
        },
      ),
      { numRuns: 400, seed: 23 },
    );
  });

  it('shows the run as its window', () => {
    const { window } = ask(
      'backing-above-idle',
      backed(() => 0),
    );
    expect(window).toEqual({ startMs: at(20.2), endMs: at(40) });
  });
});
