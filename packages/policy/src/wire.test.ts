import { describe, expect, it } from 'vitest';
import { checkList } from './checks/index.ts';
import { builtInPolicy } from './policy.ts';
import { nowhere } from './testing/ask.ts';
import { at, couplingOf, rowsEvery, uncouplingOf } from './testing/scene.ts';
import { judge, sentence } from './wire.ts';

const left = () => {
  const rows = rowsEvery(1, 0, 90, (t) => ({
    speedKph: t > 60 ? 3 + (t - 60) : 0,
    gear: t < 60 ? 0 : 2,
    parkingBrake: t < 60 ? 1 : 0,
    suspensionKpa: t < 61 ? 160.04 : 60,
  }));
  return uncouplingOf(rows, { stand: 0, pull: 60.5, release: 61, transfer: 61, clear: 64 });
};

describe('the wire form', () => {
  it('has the fields of the contract, in its order, its extensions beside what they extend', () => {
    expect(Object.keys(judge(left(), builtInPolicy, nowhere))).toEqual([
      'episodeId',
      'kind',
      'vehicleId',
      'driverId',
      'driverBasis',
      'startTime',
      'loadTransferTime',
      'endTime',
      'position',
      'siteId',
      'pressureBeforeKpa',
      'pressureAfterKpa',
      'trailerLoad',
      'suspensionDumped',
      'milestones',
      'milestoneBounds',
      'confidence',
      'checks',
    ]);
  });

  it('prints times with milliseconds and Z, pressures to a decimal, and milestones with their bounds', () => {
    const wire = judge(left(), builtInPolicy, nowhere);
    expect(wire).toMatchObject({
      loadTransferTime: '2026-03-02T06:01:01.000Z',
      pressureBeforeKpa: 160,
      milestones: { standTime: '2026-03-02T06:00:00.000Z', dumpTime: null, pullOutTime: '2026-03-02T06:01:00.500Z' },
      milestoneBounds: {
        dumpTime: null,
        pullOutTime: { low: '2026-03-02T06:01:00.000Z', high: '2026-03-02T06:01:01.000Z' },
      },
    });
    expect(Object.keys(wire.milestones)).toEqual([
      'standTime',
      'dumpTime',
      'pullOutTime',
      'releaseTime',
      'holdStartTime',
      'holdEndTime',
      'clearTime',
    ]);
  });

  it('names the site, and leaves it null where there is none', () => {
    const site = { siteId: 'north', circle: { latitude: 0, longitude: 0, radiusM: 1 } };
    expect(judge(left(), builtInPolicy, { site, vehicle: null }).siteId).toBe('north');
    expect(judge(left(), builtInPolicy, nowhere).siteId).toBe(null);
  });

  it('gives axle loads in place of pressures where only those were reported', () => {
    const inKg = { ...left(), loadSignal: 'axleLoadKg' as const, levelBefore: 9100.4, levelAfter: 4200 };
    expect(judge(inKg, builtInPolicy, nowhere)).toMatchObject({
      pressureBeforeKpa: null,
      pressureAfterKpa: null,
      axleLoadBeforeKg: 9100,
      axleLoadAfterKg: 4200,
    });
  });

  it('lists the checks of the kind in the order of the policy', () => {
    const asked = checkList.filter(({ kinds }) => kinds.includes('uncoupling')).map(({ name }) => name);
    expect(judge(left(), builtInPolicy, nowhere).checks.map(({ check }) => check)).toEqual(asked);
  });

  it('is the same however often it is judged', () => {
    expect(JSON.stringify(judge(left(), builtInPolicy, nowhere))).toBe(
      JSON.stringify(judge(left(), builtInPolicy, nowhere)),
    );
  });
});

describe('the sentence of a check', () => {
  it('is its reason in SI, and can be said in other units', () => {
    const pause = judge(left(), builtInPolicy, nowhere).checks.find(({ check }) => check === 'gear-hold-pause')!;
    expect(pause.reason).toBe(
      'The trailer was left without a pause; the landing gear is to be given 30 s to show that it holds.',
    );
    expect(sentence(pause, 'si')).toBe(pause.reason);
    const stop = { text: 'Within {near}.', values: { near: { value: 15, unit: 'm' } } };
    expect(sentence({ reasonParts: stop }, 'us')).toBe('Within 49.2 ft.');
  });

  it('fills every gap, for every check and whatever it finds', () => {
    const rows = rowsEvery(1, 0, 90, (t) => ({ speedKph: t > 20 && t < 40 ? 3 : 0, suspensionKpa: t < 36 ? 60 : 160 }));
    const coupled = couplingOf(rows, { approach: 20.5, contact: 36, transfer: 36, seated: 40, departure: 89 });
    const wires = [left(), coupled].map((episode) => judge(episode, builtInPolicy, nowhere));
    for (const { checks } of wires) for (const { reason } of checks) expect(reason).toMatch(/^[A-Z][^{}]+\.$/);
    expect(wires[1]!.startTime).toBe(new Date(at(20.5)).toISOString());
  });
});
