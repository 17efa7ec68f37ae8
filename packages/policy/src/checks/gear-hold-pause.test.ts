import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ask } from '../testing/ask.ts';
import { around, at, type Row, rowsEvery, type UncouplingTimes, uncouplingOf } from '../testing/scene.ts';

interface Leaving {
  /** Seconds of standstill under the nose after a pull of about 2 m that begins at 60 s; 0 = none. */
  readonly hold: number;
  readonly seconds?: number;
  readonly held?: boolean;
  /** Speed of the pull, km/h. */
  readonly pullKph?: number;
  /** How long the first pull takes, s. */
  readonly pullSeconds?: number;
}

/** Stands braked for 60 s, pulls, perhaps holds, drives off; pressure falls in the first second of the pull. */
function leaving({ hold, seconds = 1, held = true, pullKph = 3, pullSeconds = 2 }: Leaving): Row[] {
  const stop = 60 + pullSeconds;
  const go = stop + hold;
  const end = go + 30;
  return rowsEvery(seconds, 0, end, (t) => {
    const pulling = t > 60 && t < stop;
    const away = t > go || (hold === 0 && t >= stop);
    const brake = t <= 60 || (held && t >= stop && t <= go) ? 1 : 0;
    const speedKph = pulling ? pullKph : away ? Math.min(20, 4 + 3 * (t - go)) : 0;
    const load = t < 60.5 ? 160 : Math.max(60, 160 - 50 * (t - 60.5));
    // Engine speed that never repeats keeps the rows from being stale copies of each other.
    return {
      speedKph,
      gear: t < 60 ? 0 : 2,
      parkingBrake: brake,
      suspensionKpa: load,
      engineRpm: 650 + ((t * 7) % 50),
    };
  });
}

function times({ hold, pullSeconds = 2 }: Leaving): UncouplingTimes {
  const go = 60 + pullSeconds + hold;
  return { stand: 0, pull: 60.2, release: 61, transfer: 61.5, clear: go + 5 };
}

const left = (leave: Leaving, change: Parameters<typeof uncouplingOf>[2] = {}) =>
  uncouplingOf(leaving(leave), times(leave), change, { cadence: { usualMs: (leave.seconds ?? 1) * 1000 } });

describe('gear-hold pause after the pull', () => {
  it('is met by a braked standstill of 40 s under the nose', () => {
    const check = ask('gear-hold-pause', left({ hold: 40 }));
    expect(check.outcome).toBe('met');
    expect(check.measured).toMatchObject({ low: 40, unit: 's' });
    expect(check.measured!.high).toBeLessThanOrEqual(43);
  });

  it('is missed where the tractor never stopped', () => {
    const check = ask('gear-hold-pause', left({ hold: 0 }));
    expect(check.outcome).toBe('missed');
    expect(check.measured).toEqual({ value: 0, low: 0, high: 0, unit: 's' });
  });

  it('is missed by a short standstill, with the moving samples around it as upper bound', () => {
    const check = ask('gear-hold-pause', left({ hold: 10 }));
    expect(check).toMatchObject({ outcome: 'missed', concern: 'driver', urgency: 'routine' });
    expect(check.measured).toMatchObject({ low: 10, high: 12 });
  });

  it('stays undetermined where the bounds lie on both sides of the limit', () => {
    expect(ask('gear-hold-pause', left({ hold: 29 })).outcome).toBe('undetermined');
  });

  it('takes the ramps of 2 s off a standstill that only zeros show', () => {
    const rows = leaving({ hold: 32, held: false }).map(({ t, speedKph, suspensionKpa }) => ({
      t,
      speedKph,
      suspensionKpa,
    }));
    const slow = rows.map((row) => ({ ...row, speedKph: row.speedKph === 3 ? 2 : row.speedKph }));
    const learned = { blindSpeedKph: 1 };
    const check = ask('gear-hold-pause', uncouplingOf(slow as Row[], times({ hold: 32 }), {}, { learned }));
    expect(check.measured!.low).toBe(28);
    expect(check.outcome).toBe('undetermined');
  });

  it('does not count a standstill past the clear distance', () => {
    const check = ask('gear-hold-pause', left({ hold: 40, pullSeconds: 10 }));
    expect(check.outcome).toBe('missed');
  });

  it('leaves out of low and counts in high a standstill that may lie between the two distances', () => {
    const leave = { hold: 40, pullSeconds: 4, pullKph: 3 };
    const check = ask(
      'gear-hold-pause',
      uncouplingOf(leaving(leave), times(leave), {}, { learned: { blindSpeedKph: 4 } }),
    );
    expect(check.measured).toMatchObject({ low: 0 });
    expect(check.measured!.high).toBeGreaterThanOrEqual(40);
    expect(check.outcome).toBe('undetermined');
  });

  it('believes no gap of more than 1.5 s between moving samples to be without a standstill', () => {
    const rows = leaving({ hold: 0 }).filter((row) => row.t <= 61 || row.t >= 92);
    const check = ask('gear-hold-pause', uncouplingOf(rows, { ...times({ hold: 0 }), clear: 92 }));
    expect(check.outcome).toBe('undetermined');
    expect(check.measured!.high).toBe(31);
  });

  it('can still be missed on samples 5 s apart, each gap being too short for the pause', () => {
    const leave = { hold: 0, seconds: 5 };
    const check = ask('gear-hold-pause', left(leave));
    expect(check.outcome).toBe('missed');
    expect(check.measured!.high).toBeLessThanOrEqual(10);
  });

  it('has no upper bound where the samples end before the frame is surely clear', () => {
    const rows = leaving({ hold: 0 }).filter((row) => row.t <= 61);
    const check = ask('gear-hold-pause', uncouplingOf(rows, { ...times({ hold: 0 }), clear: 61 }));
    expect(check).toMatchObject({ outcome: 'undetermined', measured: { high: null } });
  });

  it('takes rows that repeat each other while the vehicle moves for stale copies', () => {
    const rows = leaving({ hold: 0 }).map((row) =>
      row.t > 61 && row.t < 92 ? { ...row, speedKph: 3, engineRpm: 700 } : row,
    );
    const check = ask('gear-hold-pause', uncouplingOf(rows, times({ hold: 0 })), { minSeconds: 20 });
    expect(check.outcome).toBe('undetermined');
  });

  it('proves no pause through a hole in its middle', () => {
    const rows = leaving({ hold: 40 })
      .filter((row) => row.t < 75 || row.t > 85)
      .map((row) => ({ ...row, parkingBrake: row.t <= 60 ? 1 : 0, serviceBrake: row.t > 60 ? 1 : 0 }));
    const check = ask('gear-hold-pause', uncouplingOf(rows, times({ hold: 40 })));
    expect(check.measured!.low).toBeLessThan(20);
    expect(check.outcome).toBe('undetermined');
  });

  it('takes a silence between two rows with the parking brake applied as standing', () => {
    const rows = leaving({ hold: 40 }).filter((row) => row.t < 65 || row.t > 99);
    expect(ask('gear-hold-pause', uncouplingOf(rows, times({ hold: 40 }))).outcome).toBe('met');
  });

  it('proves nothing where the load may have gone off before the visible pull', () => {
    const rows = leaving({ hold: 0 }).map((row) => ({ ...row, suspensionKpa: row.t < 20 ? 160 : 60 }));
    const blind = uncouplingOf(rows, { stand: 0, pull: 60.2, release: 21, transfer: 20, clear: 67 });
    const check = ask('gear-hold-pause', blind);
    expect(check.outcome).toBe('undetermined');
    expect(check.measured!.high).toBeGreaterThan(40);
  });
});

/** Stands, dumps from 20 to 30 s, pulls out at `pull` and is gone. */
function dumping(pull: number): Row[] {
  return rowsEvery(1, 0, pull + 20, (t) => ({
    speedKph: t > pull ? Math.min(15, 2 + 2 * (t - pull)) : 0,
    gear: t < pull ? 0 : 2,
    parkingBrake: t < pull ? 1 : 0,
    suspensionKpa: t < 20 ? 160 : Math.max(5, 160 - 16 * (t - 20)),
  }));
}

const dumped = (pull: number, change: Parameters<typeof uncouplingOf>[2] = {}) =>
  uncouplingOf(
    dumping(pull),
    { stand: 0, dump: 30, pull: pull + 0.5, release: 30, transfer: 25, clear: pull + 8 },
    change,
  );

describe('gear-hold pause after a dump', () => {
  it('runs from the end of the dump to the pull', () => {
    const check = ask('gear-hold-pause', dumped(65));
    expect(check.outcome).toBe('met');
    expect(check.measured).toMatchObject({ low: 34, high: 38 });
  });

  it('is missed where the tractor pulled soon after it', () => {
    expect(ask('gear-hold-pause', dumped(45)).outcome).toBe('missed');
  });

  it('proves nothing where a short pull before the dump makes the whole standstill count, kindly read', () => {
    const rows = dumping(45).map((row) => (row.t === 10 ? { ...row, speedKph: 2, gear: 1, parkingBrake: 0 } : row));
    const times = { stand: 0, dump: 30, pull: 45.5, release: 30, transfer: 25, clear: 53 };
    const check = ask('gear-hold-pause', uncouplingOf(rows, times));
    expect(check).toMatchObject({ outcome: 'undetermined', measured: { low: 14 } });
    expect(check.measured!.high).toBeGreaterThanOrEqual(35);
  });

  it('proves nothing where part of the load went off long before the visible pull', () => {
    const rows = leaving({ hold: 0 }).map((row) => (row.t > 10 && row.t < 61 ? { ...row, suspensionKpa: 130 } : row));
    expect(ask('gear-hold-pause', uncouplingOf(rows, times({ hold: 0 }))).outcome).toBe('undetermined');
  });

  it('proves nothing where the load was off before, and the tractor backed under again', () => {
    const rows = leaving({ hold: 0 }).map((row) => (row.t > 10 && row.t < 25 ? { ...row, suspensionKpa: 60 } : row));
    expect(ask('gear-hold-pause', uncouplingOf(rows, times({ hold: 0 }))).outcome).toBe('undetermined');
  });

  it('proves nothing where the data cannot say whether there was a dump', () => {
    const unclear = dumped(65, { suspensionDumped: null });
    expect(ask('gear-hold-pause', unclear)).toMatchObject({ outcome: 'undetermined', measured: { low: 0 } });
  });

  it('does not count a later standstill where the policy asks for the pause before the pull', () => {
    const leave = { hold: 40 };
    const rows = leaving(leave).map((row) => ({ ...row, suspensionKpa: row.t < 40 ? 160 : row.t < 50 ? 100 : 5 }));
    const episode = uncouplingOf(rows, { ...times(leave), dump: 50, transfer: 45, release: 50 });
    expect(ask('gear-hold-pause', episode).outcome).toBe('met');
    expect(ask('gear-hold-pause', episode, { dumpedPause: 'before-pull' }).outcome).toBe('missed');
  });
});

describe('gear-hold pause that cannot be judged', () => {
  it('says so where the input ends in the pause', () => {
    const rows = leaving({ hold: 40 }).filter((row) => row.t < 100);
    const { clear, ...open } = times({ hold: 40 });
    const check = ask('gear-hold-pause', uncouplingOf(rows, open));
    expect(check).toMatchObject({ outcome: 'undetermined', measured: { high: null } });
  });

  it('says so where no pull-out was seen', () => {
    const episode = left({ hold: 0 });
    const check = ask('gear-hold-pause', { ...episode, milestones: { ...episode.milestones, pullOutTime: null } });
    expect(check).toMatchObject({ outcome: 'undetermined', measured: null });
  });

  it('is not asked of a yard tractor', () => {
    const vehicle = { vehicleId: 'T-1', use: 'yard' as const };
    expect(ask('gear-hold-pause', left({ hold: 0 }), {}, { site: null, vehicle }).outcome).toBe('not-applicable');
  });

  it('is undetermined on spring suspension, where pressure proves nothing', () => {
    const vehicle = { vehicleId: 'T-1', driveSuspension: 'spring' as const };
    expect(ask('gear-hold-pause', left({ hold: 0 }), {}, { site: null, vehicle }).outcome).toBe('undetermined');
  });
});

describe('a trailer that was left, hit again, and left for good', () => {
  /** Pulls from under at 60 s, holds for 60 s, backs into it at 125 s so that a part of the load is back, pulls out at 150 s. */
  const rows = rowsEvery(1, 0, 180, (t) => ({
    speedKph: (t > 60 && t < 63) || (t > 123 && t < 126) ? 3 : t > 150 ? 10 : 0,
    gear: t > 120 && t < 130 ? -1 : 1,
    serviceBrake: 1,
    suspensionKpa: t < 61 ? 400 : t < 125 ? 80 : t < 151 ? 150 : 80,
    engineRpm: 650 + ((t * 7) % 50),
  }));
  const times = { stand: 126, pull: 150.5, release: 151, transfer: 151, clear: 155 };
  const levels = { levelBefore: 150, levelAfter: 80 };

  it('is not missed for the last pull alone, where all of it happened about the same spot', () => {
    const whole = uncouplingOf(rows, times, levels);
    const runs = whole.evidence.runs.map((run) => ({ ...run, metres: { low: 1, high: 4, best: 2 } }));
    const check = ask('gear-hold-pause', { ...whole, evidence: { ...whole.evidence, runs } });
    expect(check.outcome).toBe('undetermined');
    expect(check.measured!.high).toBeGreaterThan(60);
  });

  it('is missed where the tractor came from somewhere else in between', () => {
    expect(ask('gear-hold-pause', uncouplingOf(rows, times, levels)).outcome).toBe('missed');
  });
});

describe('gear-hold pause under change', () => {
  it('never becomes missed because rows were lost', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 45 }),
        fc.boolean(),
        fc.array(fc.boolean(), { minLength: 200, maxLength: 200 }),
        (hold, held, keep) => {
          const leave = { hold, held };
          const whole = ask('gear-hold-pause', left(leave)).outcome;
          const rows = leaving(leave).filter((row, i) => i === 0 || keep[i] || row.t > 100 + hold);
          const less = ask('gear-hold-pause', uncouplingOf(rows, times(leave))).outcome;
          if (whole !== 'missed') expect(less).not.toBe('missed');
        },
      ),
      { numRuns: 300, seed: 7 },
    );
  });

  it('never turns from missed to met when more is asked', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 60 }),
        fc.integer({ min: 1, max: 60 }),
        fc.integer({ min: 0, max: 30 }),
        fc.double({ min: 0, max: 2, noNaN: true }),
        (hold, minSeconds, more, underMetres) => {
          const wide = ask('gear-hold-pause', left({ hold }), { minSeconds }).outcome;
          const narrow = ask('gear-hold-pause', left({ hold }), { minSeconds: minSeconds + more, underMetres }).outcome;
          if (wide === 'missed') expect(narrow).not.toBe('met');
        },
      ),
      { numRuns: 200, seed: 11 },
    );
  });

  it('holds the true pause of a noiseless scene within its bounds', () => {
    fc.assert(
      fc.property(fc.double({ min: 2, max: 60, noNaN: true }), fc.constantFrom(1, 2, 5, 10), (hold, seconds) => {
        const leave = { hold, seconds };
        const { measured } = ask('gear-hold-pause', left(leave));
        if (measured!.low !== null) expect(measured!.low).toBeLessThanOrEqual(hold + 0.05);
        if (measured!.high !== null) expect(measured!.high).toBeGreaterThanOrEqual(hold - 0.05);
      }),
      { numRuns: 200, seed: 13 },
    );
  });

  it('shows the window of the pause that counts', () => {
    const { window } = ask('gear-hold-pause', left({ hold: 40 }));
    expect(window!.startMs).toBe(at(62));
    expect(window!.endMs).toBe(at(102));
    expect(around(leaving({ hold: 40 }), 'speedKph', 60.2)).toMatchObject({ low: at(60), high: at(61) });
  });
});
