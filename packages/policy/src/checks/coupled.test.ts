import { describe, expect, it } from 'vitest';
import { ask } from '../testing/ask.ts';
import { drive, type Leg } from '../testing/drive.ts';
import { couplingOf, type Row } from '../testing/scene.ts';

interface Coupled {
  /** Seconds after the arrival at which a tug pulls for 2 s. */
  readonly tugs?: readonly number[];
  /** Standstill from arrival to departure, s. */
  readonly stood?: number;
  readonly torque?: boolean;
  readonly brake?: (since: number) => number;
  readonly door?: (since: number) => number;
  /** Speed after the departure, km/h. */
  readonly tripKph?: number;
}

const arrived = 60;

/** Backs under until 60 s, stands, tugs at standstill, leaves. */
function coupled({ tugs = [], stood = 300, torque = true, brake, door, tripKph = 15 }: Coupled = {}) {
  const legs: Leg[] = [
    { seconds: 40, kpa: 60, speedKph: 0, gear: 0, parkingBrake: 1 },
    { seconds: 20, kpa: (into) => (into < 16 ? 60 : 160), speedKph: 3, gear: -1, parkingBrake: 0 },
    { seconds: stood, kpa: 160, speedKph: 0, gear: 0, parkingBrake: 1 },
    { seconds: 60, kpa: 160, speedKph: tripKph, gear: 4, parkingBrake: 0 },
  ];
  const rows: Row[] = drive(legs).map((row) => {
    const since = row.t - arrived;
    const standing = since >= 0 && since < stood;
    const pulls = standing && tugs.some((tug) => since >= tug && since < tug + 2);
    return {
      ...row,
      ...(standing && {
        gear: pulls ? 1 : 0,
        parkingBrake: pulls ? 0 : (brake?.(since) ?? 1),
        serviceBrake: !pulls && since < 2 ? 1 : 0,
      }),
      ...(door && { driverDoorOpen: standing ? door(since) : 0 }),
      ...(torque && { torquePct: pulls ? 40 : 15 + (row.t % 2) }),
    };
  });
  const tugTimes = tugs.map((tug) => arrived + tug + 1);
  return couplingOf(rows, {
    approach: 40,
    contact: 56,
    transfer: 56,
    seated: arrived,
    tugs: tugTimes,
    departure: arrived + stood,
  });
}

describe('tug tests', () => {
  it('are met by two within 120 s', () => {
    expect(ask('tug-test-count', coupled({ tugs: [5, 20] }))).toMatchObject({
      outcome: 'met',
      measured: { low: 2, unit: 'count' },
    });
  });

  it('are missed by one where torque at 1 Hz shows that there was no other', () => {
    const check = ask('tug-test-count', coupled({ tugs: [5] }));
    expect(check).toMatchObject({ outcome: 'missed', measured: { low: 1, high: 1 } });
  });

  it('are missed by none', () => {
    expect(ask('tug-test-count', coupled())).toMatchObject({ outcome: 'missed', measured: { low: 0, high: 0 } });
  });

  it('have no upper bound without torque', () => {
    expect(ask('tug-test-count', coupled({ torque: false }))).toMatchObject({
      outcome: 'undetermined',
      measured: { high: null },
    });
  });

  it('have no upper bound through a gap in torque', () => {
    const whole = coupled();
    const torque = whole.evidence.track.column('torquePct')!;
    torque[arrived + 50] = Number.NaN;
    expect(ask('tug-test-count', whole).measured!.high).toBe(null);
  });

  it('count by themselves what torque proves, whatever the tracker called one', () => {
    const whole = coupled({ tugs: [5, 20] });
    const unseen = { ...whole, milestones: { ...whole.milestones, tugTestTimes: [] } };
    expect(ask('tug-test-count', unseen)).toMatchObject({ outcome: 'met', measured: { low: 2, high: 2 } });
  });

  it('count in high a rise of torque too small to be surely a pull', () => {
    const whole = coupled();
    whole.evidence.track.column('torquePct')!.fill(21, arrived + 5, arrived + 7);
    whole.evidence.track.column('gear')!.fill(1, arrived + 5, arrived + 7);
    expect(ask('tug-test-count', whole)).toMatchObject({ outcome: 'missed', measured: { low: 0, high: 1 } });
  });

  it('count a pull that is up already in the first sample of forward gear, and the next one in the same gear', () => {
    const whole = coupled({ tugs: [5, 12] });
    const gear = whole.evidence.track.column('gear')!;
    gear.fill(1, arrived + 5, arrived + 14);
    const unseen = { ...whole, milestones: { ...whole.milestones, tugTestTimes: [] } };
    expect(ask('tug-test-count', unseen).measured!.high).toBe(2);
  });

  it('count only those soon enough', () => {
    expect(ask('tug-test-count', coupled({ tugs: [5, 200] }))).toMatchObject({
      outcome: 'missed',
      measured: { high: 1 },
    });
  });
});

describe('parking brake after coupling', () => {
  it('is met where it was set in every stretch in which nobody was at the controls', () => {
    expect(ask('parking-brake-set', coupled())).toMatchObject({
      outcome: 'met',
      measured: { low: 1, high: 1, unit: '0/1' },
    });
  });

  it('proves nothing where it was never set and no door is reported, for the driver may have stayed', () => {
    expect(ask('parking-brake-set', coupled({ brake: () => 0 }))).toMatchObject({
      outcome: 'undetermined',
      measured: { low: 0, high: 1 },
    });
  });

  it('proves nothing where it was set after a stretch long enough to get out', () => {
    expect(ask('parking-brake-set', coupled({ brake: (since) => (since > 100 ? 1 : 0) })).outcome).toBe('undetermined');
  });

  const opens = (from: number) => (since: number) => (since >= from && since < from + 5 ? 1 : 0);
  const sets = (from: number) => (since: number) => (since > from ? 1 : 0);

  it('is missed where the door was opened before it was set', () => {
    expect(ask('parking-brake-set', coupled({ brake: sets(20), door: opens(10) })).outcome).toBe('missed');
  });

  it('is met where the door was opened after it was set, however late', () => {
    expect(ask('parking-brake-set', coupled({ brake: sets(100), door: opens(110) })).outcome).toBe('met');
  });

  it('proves nothing through a gap in the brake signal as the door opens', () => {
    const whole = coupled({ brake: () => 0, door: opens(50) });
    whole.evidence.track.column('parkingBrake')![arrived + 50] = Number.NaN;
    expect(ask('parking-brake-set', whole).outcome).toBe('undetermined');
  });
});

describe('time before leaving', () => {
  it('is met by 300 s at standstill', () => {
    expect(ask('coupling-dwell', coupled())).toMatchObject({ outcome: 'met', measured: { unit: 's' } });
  });

  it('is missed by 60 s', () => {
    const check = ask('coupling-dwell', coupled({ stood: 60 }));
    expect(check.outcome).toBe('missed');
    expect(check.measured!.high).toBeLessThan(70);
  });

  it('counts from the last tug test in low, and from the arrival in high', () => {
    const check = ask('coupling-dwell', coupled({ tugs: [60], stood: 150 }));
    expect(check.outcome).toBe('undetermined');
    expect(check.measured!.low).toBeLessThan(90);
    expect(check.measured!.high).toBeGreaterThan(145);
  });

  it('counts from the last instant at which a tug test may have gone unseen', () => {
    // No torque: one may have come while the brake was off, up to 100 s after the arrival.
    const brake = (since: number) => (since < 100 ? 0 : 1);
    const whole = coupled({ torque: false, brake, stood: 300 });
    whole.evidence.track.column('gear')!.fill(1, arrived, arrived + 100);
    const { low, high } = ask('coupling-dwell', whole).measured!;
    expect(low).toBeGreaterThan(190);
    expect(low).toBeLessThan(202);
    expect(high).toBeGreaterThan(295);
  });

  it('proves nothing of a truck that was never secured', () => {
    const whole = coupled({ torque: false, brake: () => 0, stood: 300 });
    whole.evidence.track.column('gear')!.fill(1, arrived, arrived + 300);
    expect(ask('coupling-dwell', whole)).toMatchObject({ outcome: 'undetermined', measured: { low: 0 } });
  });

  it('says so where the input ends before the departure', () => {
    const open = coupled();
    const cut = { ...open, closed: false, milestones: { ...open.milestones, departureTime: null } };
    expect(ask('coupling-dwell', cut).outcome).toBe('undetermined');
    expect(ask('departure-inspection', cut).outcome).toBe('undetermined');
  });
});

describe('inspection before a trip', () => {
  it('is missed where the truck reached trip speed after 100 s', () => {
    expect(ask('departure-inspection', coupled({ stood: 100, tripKph: 60 })).outcome).toBe('missed');
  });

  it('has no upper bound until trip speed is seen', () => {
    expect(ask('departure-inspection', coupled({ stood: 100 }))).toMatchObject({
      outcome: 'undetermined',
      measured: { high: null },
    });
  });

  it('is met by enough time, trip or no trip', () => {
    expect(ask('departure-inspection', coupled({ stood: 400 })).outcome).toBe('met');
  });
});
