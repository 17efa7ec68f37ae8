import { describe, expect, it } from 'vitest';
import { ask } from '../testing/ask.ts';
import { drive, type Leg, rising } from '../testing/drive.ts';
import { couplingOf } from '../testing/scene.ts';

interface Approach {
  /** Standstill before the last reverse run, s. */
  readonly stop: number;
  /** Last reverse run before contact, s at 3 km/h (0.83 m/s). */
  readonly back?: number;
  readonly kph?: number;
  readonly every?: number;
}

/** Drives up, stops, backs under at one speed, load comes on in the last 3 s, stands. */
function approach({ stop, back = 12, kph = 3, every = 1 }: Approach, changes: Partial<Leg> = {}) {
  const backing = { speedKph: kph, gear: -1, parkingBrake: 0, ...changes };
  const rows = drive(
    [
      { seconds: 60, kpa: 60, speedKph: 12, gear: 3, parkingBrake: 0 },
      { seconds: stop, kpa: 60, speedKph: 0, gear: 0, parkingBrake: 1 },
      { seconds: back - 3, kpa: 60, ...backing },
      { seconds: 3, kpa: rising, ...backing },
      { seconds: 60, kpa: 160, speedKph: 0, gear: 0, parkingBrake: 1 },
      { seconds: 10, kpa: 160, speedKph: 10, gear: 2, parkingBrake: 0 },
    ],
    every,
  );
  const go = 60 + stop;
  const times = {
    approach: go,
    contact: go + back - 3,
    transfer: go + back - 1.5,
    seated: go + back,
    departure: go + back + 60,
  };
  return couplingOf(rows, times, {}, { cadence: { usualMs: every * 1000 } });
}

describe('stop before the trailer', () => {
  it('is met by a braked stop of 14 s within 15 m', () => {
    expect(ask('approach-stop', approach({ stop: 14 }))).toMatchObject({
      outcome: 'met',
      measured: { low: 13, unit: 's' },
    });
  });

  it('is missed where the truck backed up without one', () => {
    const check = ask('approach-stop', approach({ stop: 2 }));
    expect(check.outcome).toBe('missed');
    expect(check.measured!.high).toBeLessThan(10);
  });

  it('is missed where it stopped far away only', () => {
    expect(ask('approach-stop', approach({ stop: 30, back: 90 })).outcome).toBe('missed');
  });

  it('stays undetermined by a stop whose path is longer than the distance, but not twice', () => {
    expect(ask('approach-stop', approach({ stop: 30, back: 28 }))).toMatchObject({
      outcome: 'undetermined',
      measured: { low: 0 },
    });
  });

  it('does not count a stand under the trailer, in a try before', () => {
    const rows = drive([
      { seconds: 60, kpa: 60, speedKph: 12, gear: 3, parkingBrake: 0 },
      { seconds: 10, kpa: 60, speedKph: 3, gear: -1, parkingBrake: 0 },
      { seconds: 30, kpa: 140, speedKph: 0, gear: 0, parkingBrake: 1 },
      { seconds: 6, kpa: 60, speedKph: 3, gear: 1, parkingBrake: 0 },
      { seconds: 3, kpa: 60, speedKph: 0, gear: 0, parkingBrake: 1 },
      { seconds: 5, kpa: 60, speedKph: 3, gear: -1, parkingBrake: 0 },
      { seconds: 3, kpa: rising, speedKph: 3, gear: -1, parkingBrake: 0 },
      { seconds: 60, kpa: 160, speedKph: 0, gear: 0, parkingBrake: 1 },
    ]);
    const tried = couplingOf(rows, { approach: 109, contact: 114, transfer: 115, seated: 117 });
    expect(ask('approach-stop', tried)).toMatchObject({ outcome: 'undetermined', measured: { low: 2 } });
  });

  it('does not count a stand during which the kingpin may have been home already, unseen', () => {
    const rows = drive([
      { seconds: 60, kpa: 60, speedKph: 12, gear: 3, parkingBrake: 0 },
      { seconds: 16, kpa: 60, speedKph: 0, gear: -1, parkingBrake: 0, serviceBrake: 0 },
      { seconds: 20, kpa: 60, speedKph: 0, gear: -1, parkingBrake: 0, serviceBrake: 1 },
      { seconds: 40, kpa: 60, speedKph: 0, gear: 0, parkingBrake: 1 },
      { seconds: 60, kpa: rising, speedKph: 0, gear: 0, parkingBrake: 1 },
    ]);
    const blind = couplingOf(rows, { approach: 61, contact: 116, transfer: 117, seated: 96 });
    expect(ask('approach-stop', blind)).toMatchObject({ outcome: 'undetermined', measured: { low: 0 } });
  });

  it('has no upper bound where the rows begin nearer than the distance', () => {
    const whole = approach({ stop: 0 });
    const rows = drive([
      { seconds: 3, kpa: 60, speedKph: 3, gear: -1 },
      { seconds: 3, kpa: rising, speedKph: 3, gear: -1 },
      { seconds: 60, kpa: 160, speedKph: 0, gear: 0 },
    ]);
    const late = couplingOf(rows, { approach: 0, contact: 3, transfer: 4.5, seated: 6, departure: 66 });
    expect(ask('approach-stop', late)).toMatchObject({ outcome: 'undetermined', measured: { high: null } });
    expect(ask('approach-stop', whole).outcome).toBe('missed');
  });

  it('says so where speed was not reported', () => {
    const coupling = approach({ stop: 14 });
    const column = (signal: string) =>
      signal === 'speedKph' ? null : coupling.evidence.track.column(signal as 'gear');
    const evidence = { ...coupling.evidence, track: { ...coupling.evidence.track, column } };
    expect(ask('approach-stop', { ...coupling, evidence })).toMatchObject({ outcome: 'undetermined', measured: null });
  });
});

describe('speed while backing', () => {
  it('is met at 3 km/h', () => {
    expect(ask('backing-speed', approach({ stop: 14 }))).toMatchObject({
      outcome: 'met',
      measured: { low: 2.5, high: 3, unit: 'km/h' },
    });
  });

  it('is missed where a speed above the limit was held', () => {
    expect(ask('backing-speed', approach({ stop: 14, kph: 10 }))).toMatchObject({
      outcome: 'missed',
      measured: { low: 9.5 },
    });
  });

  it('stays undetermined on samples 5 s apart above the limit', () => {
    expect(ask('backing-speed', approach({ stop: 20, back: 30, kph: 10, every: 5 })).outcome).toBe('undetermined');
  });

  it('grants what a truck gathers and brakes off again between samples 5 s apart', () => {
    const check = ask('backing-speed', approach({ stop: 20, back: 30, kph: 3, every: 5 }));
    // 3 km/h and 4 s at 2.2 and 3.6 km/h a second, one second of it held.
    expect(check.measured!.high).toBeCloseTo(3 + (2.2 * 3.6 * 4) / 5.8, 1);
  });

  it('grants a blind sensor its blind speed', () => {
    const slow = approach({ stop: 14, kph: 1 });
    const evidence = { ...slow.evidence, learned: { ...slow.evidence.learned, blindSpeedKph: 6 } };
    expect(ask('backing-speed', { ...slow, evidence }, { maxKph: 5 })).toMatchObject({
      outcome: 'undetermined',
      measured: { high: 6 },
    });
  });
});

describe('speed of arrival', () => {
  it('is met where every sample around it is slow', () => {
    expect(ask('contact-speed', approach({ stop: 14 }, { acceleratorPct: 0 }))).toMatchObject({
      outcome: 'met',
      measured: { low: 0, high: 4 },
    });
  });

  it('may be higher with the foot on the accelerator, or where nothing shows that it is off', () => {
    const pressed = approach({ stop: 14 }, { acceleratorPct: 20 });
    const plain = approach({ stop: 14 });
    const learned = { ...plain.evidence.learned, idleRpm: null };
    const unknown = { ...plain, evidence: { ...plain.evidence, learned } };
    for (const coupling of [pressed, unknown]) {
      expect(ask('contact-speed', coupling)).toMatchObject({
        outcome: 'undetermined',
        measured: { low: 0, high: 5.5 },
      });
    }
  });

  it('is met by an engine near its idle where the accelerator is not reported', () => {
    expect(ask('contact-speed', approach({ stop: 14 })).outcome).toBe('met');
  });

  it('is that of the last sample that shows movement, even where the kingpin may have come home after it', () => {
    const coupling = approach({ stop: 14, kph: 6 }, { acceleratorPct: 0 });
    const { seatedTime } = coupling.milestones;
    const later = { low: seatedTime!.low + 2000, high: seatedTime!.high + 2000, best: seatedTime!.best + 2000 };
    const check = ask('contact-speed', { ...coupling, milestones: { ...coupling.milestones, seatedTime: later } });
    expect(check.measured!.high).toBeGreaterThanOrEqual(6);
  });

  it('cannot be missed at 1 Hz, for a truck can brake in between', () => {
    expect(ask('contact-speed', approach({ stop: 14, kph: 10 }))).toMatchObject({
      outcome: 'undetermined',
      measured: { low: 0 },
    });
  });

  it('can be missed at 10 Hz, less what brakes take off between two samples', () => {
    const check = ask('contact-speed', approach({ stop: 14, kph: 10, every: 0.1 }));
    expect(check).toMatchObject({ outcome: 'missed', measured: { low: 7.5 } });
  });
});

describe('lamps while backing', () => {
  const lit = (hazardLamps: number, headlamps?: number) =>
    approach({ stop: 14 }, headlamps === undefined ? { hazardLamps } : { hazardLamps, headlamps });

  it('are met where both were on', () => {
    expect(ask('lamps-while-backing', lit(1, 1)).outcome).toBe('met');
  });

  it('are missed where one was off', () => {
    const check = ask('lamps-while-backing', lit(1, 0));
    expect(check).toMatchObject({ outcome: 'missed', measured: { value: 0, low: 0, high: 0, unit: '0/1' } });
    expect(check.statement.values.off).toBe('headlamps');
  });

  it('are judged by the one that is reported', () => {
    expect(ask('lamps-while-backing', lit(0)).outcome).toBe('missed');
    expect(ask('lamps-while-backing', lit(1)).outcome).toBe('met');
  });

  it('are not missed by a lamp that is reported as it flashes', () => {
    const rows = approach({ stop: 14 }, { hazardLamps: 1 });
    const lamp = rows.evidence.track.column('hazardLamps')!;
    for (let row = 0; row < lamp.length; row += 2) lamp[row] = 0;
    expect(ask('lamps-while-backing', rows).outcome).toBe('met');
  });

  it('are not asked where the policy wants none, and unknown where none is reported', () => {
    const none = { hazardLamps: 'not-asked', headlamps: 'not-asked' };
    expect(ask('lamps-while-backing', lit(0, 0), none).outcome).toBe('not-applicable');
    expect(ask('lamps-while-backing', approach({ stop: 14 })).outcome).toBe('undetermined');
  });
});

describe('response of the suspension', () => {
  it('is met where the load came on while backing', () => {
    expect(ask('suspension-response', approach({ stop: 14 }))).toMatchObject({
      outcome: 'met',
      measured: { low: 1, high: 1, unit: '0/1' },
    });
  });

  /** Backs under without a change of pressure; the driver airs up half a minute later. */
  const high = (kpa: (into: number) => number) =>
    couplingOf(
      drive([
        { seconds: 20, kpa: 60, speedKph: 0, gear: 0, parkingBrake: 1 },
        { seconds: 12, kpa: 60, speedKph: 3, gear: -1, parkingBrake: 0 },
        { seconds: 60, kpa, speedKph: 0, gear: 0, parkingBrake: 1 },
        { seconds: 20, kpa: 160, speedKph: 10, gear: 2, parkingBrake: 0 },
      ]),
      { approach: 20, contact: 62, transfer: 64, seated: 66, departure: 92 },
    );

  describe('with the ride height reported', () => {
    /** The pressure hardly shows what comes on; the frame goes down by so much in the last seconds of the backing. */
    const low = (mm: number) =>
      couplingOf(
        drive([
          { seconds: 20, kpa: 60, speedKph: 0, gear: 0, parkingBrake: 1, rideHeightMm: 1 },
          { seconds: 6, kpa: 60, speedKph: 3, gear: -1, parkingBrake: 0, rideHeightMm: 0 },
          { seconds: 6, kpa: 61, speedKph: 3, gear: -1, parkingBrake: 0, rideHeightMm: -mm },
          { seconds: 60, kpa: 63, speedKph: 0, gear: 0, parkingBrake: 1, rideHeightMm: -mm },
          { seconds: 20, kpa: 63, speedKph: 10, gear: 2, parkingBrake: 0, rideHeightMm: 0 },
        ]),
        { approach: 20, contact: 40, transfer: 41, seated: 32, departure: 92 },
        { levelAfter: 63 },
      );
    const road = { site: null, vehicle: { vehicleId: 'T-1', liftAxle: false } };

    it('is met by a squat while backing, of a truck that has no lift axle', () => {
      expect(ask('suspension-response', low(40), {}, road)).toMatchObject({ outcome: 'met', measured: { low: 1 } });
      const unknown = { site: null, vehicle: { vehicleId: 'T-1' } };
      expect(ask('suspension-response', low(40), {}, unknown).outcome).toBe('undetermined');
    });

    it('is never missed for want of a squat', () => {
      expect(ask('suspension-response', low(0), {}, road).outcome).toBe('undetermined');
    });
  });

  it('is missed, as a matter for the yard, where no load came on until long after', () => {
    // Long enough at each level that noise of 1 kPa leaves less open than the share the check asks for.
    const check = ask(
      'suspension-response',
      couplingOf(
        drive([
          { seconds: 30, kpa: 60, speedKph: 0, gear: 0, parkingBrake: 1 },
          { seconds: 12, kpa: 60, speedKph: 3, gear: -1, parkingBrake: 0 },
          { seconds: 110, kpa: (into) => rising(Math.max(0, into - 80)), speedKph: 0, gear: 0, parkingBrake: 1 },
          { seconds: 20, kpa: 160, speedKph: 10, gear: 2, parkingBrake: 0 },
        ]),
        { approach: 30, contact: 122, transfer: 124, seated: 126, departure: 152 },
      ),
    );
    expect(check).toMatchObject({
      outcome: 'missed',
      concern: 'yard',
      urgency: 'today',
      measured: { low: 0, high: 0 },
    });
  });

  it('proves nothing where a part of the load may hide in the noise before', () => {
    const creeping = high((into) => (into < 30 ? 68 : rising(into - 30)));
    expect(ask('suspension-response', creeping).outcome).toBe('undetermined');
  });

  it('proves nothing while the springs still let go of the trailer before: a load may hide in their fall', () => {
    const left = couplingOf(
      drive([
        { seconds: 30, kpa: (into) => 130 - into, speedKph: 0, gear: 0, parkingBrake: 1 },
        { seconds: 12, kpa: (into) => 100 - into, speedKph: 3, gear: -1, parkingBrake: 0 },
        {
          seconds: 110,
          kpa: (into) => (into < 10 ? 88 - 2.8 * into : rising(Math.max(0, into - 80))),
          speedKph: 0,
          gear: 0,
          parkingBrake: 1,
        },
        { seconds: 20, kpa: 160, speedKph: 10, gear: 2, parkingBrake: 0 },
      ]),
      { approach: 30, contact: 122, transfer: 124, seated: 42, departure: 152 },
      { levelBefore: 110 },
    );
    expect(ask('suspension-response', left).outcome).toBe('undetermined');
  });

  it('proves nothing on springs that were exhausted to back under', () => {
    const dumped = { ...high((into) => rising(into - 30)), suspensionDumped: true };
    expect(ask('suspension-response', dumped)).toMatchObject({ outcome: 'undetermined', measured: null });
  });

  it('proves nothing of a load that hardly shows', () => {
    expect(ask('suspension-response', { ...approach({ stop: 14 }), levelAfter: 63 }).outcome).toBe('undetermined');
  });
});

describe('repeated tries', () => {
  /** Backs against a trailer and comes away again, so many times, before it holds. */
  const tries = (failed: number, kpa: (into: number) => number) => {
    const again: Leg[] = Array.from({ length: failed }).flatMap(() => [
      { seconds: 10, kpa: 60, speedKph: 3, gear: -1 },
      { seconds: 6, kpa, speedKph: 0, gear: 0 },
      { seconds: 6, kpa: 60, speedKph: 3, gear: 1 },
      { seconds: 10, kpa: 60, speedKph: 0, gear: 0 },
    ]);
    const legs: Leg[] = [
      { seconds: 240, kpa: 60, speedKph: 0, gear: 0 },
      ...again,
      { seconds: 10, kpa: 60, speedKph: 3, gear: -1 },
      { seconds: 60, kpa: rising, speedKph: 0, gear: 0 },
    ];
    const go = 240 + 32 * failed;
    return couplingOf(drive(legs), {
      approach: go,
      contact: go + 9,
      transfer: go + 11,
      seated: go + 10,
      departure: go + 60,
    });
  };

  it('are missed, as a matter for the shop, where load came on and off three times before', () => {
    const check = ask(
      'repeated-attempts',
      tries(3, () => 140),
    );
    expect(check).toMatchObject({ outcome: 'missed', concern: 'shop', measured: { low: 4, high: 4, unit: 'count' } });
  });

  it('stay undetermined where the tractor only backed and pulled forward', () => {
    expect(
      ask(
        'repeated-attempts',
        tries(3, () => 60),
      ),
    ).toMatchObject({ outcome: 'undetermined', measured: { low: 1, high: 4 } });
  });

  it('are no more than one where the tractor only stopped on its way under', () => {
    const back = { seconds: 10, kpa: 60, speedKph: 3, gear: -1 };
    const stop = { seconds: 12, kpa: 60, speedKph: 0, gear: -1, serviceBrake: 1 };
    const before = { seconds: 240, kpa: 60, speedKph: 0, gear: 0 };
    const under = { seconds: 60, kpa: rising, speedKph: 0, gear: 0 };
    const episode = couplingOf(drive([before, back, stop, back, stop, back, stop, back, under]), {
      approach: 306,
      contact: 315,
      transfer: 317,
      seated: 316,
      departure: 376,
    });
    expect(ask('repeated-attempts', episode)).toMatchObject({ outcome: 'met', measured: { low: 1, high: 1 } });
  });

  it('may have come in a hole of the readings', () => {
    const rows = drive([
      { seconds: 300, kpa: 60, speedKph: 0, gear: -1 },
      { seconds: 10, kpa: 60, speedKph: 3, gear: -1 },
      { seconds: 60, kpa: rising, speedKph: 0, gear: 0 },
    ]).filter(({ t }) => (t < 100 || t > 140) && (t < 200 || t > 240));
    const times = { approach: 300, contact: 309, transfer: 311, seated: 310, departure: 370 };
    expect(ask('repeated-attempts', couplingOf(rows, times))).toMatchObject({
      outcome: 'undetermined',
      measured: { low: 1, high: 3 },
    });
  });

  it('are met where the first one held', () => {
    expect(
      ask(
        'repeated-attempts',
        tries(0, () => 60),
      ),
    ).toMatchObject({ outcome: 'met', measured: { low: 1, high: 1 } });
  });
});
