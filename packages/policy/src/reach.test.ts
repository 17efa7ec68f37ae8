import type { Cadence, Vehicle } from '@gearhold/episodes';
import type { SignalName } from '@gearhold/signals';
import { describe, expect, it } from 'vitest';
import { parsePolicy } from './parse-policy.ts';
import { builtInPolicy } from './policy.ts';
import { type CheckReach, checkReaches, type TruckReports } from './reach.ts';
import type { Site } from './site.ts';

const everySecond: Cadence = { mode: 'periodic', usualMs: 1000 };
const everyFive: Cadence = { mode: 'periodic', usualMs: 5000 };
const changes: Cadence = { mode: 'change-only', usualMs: 1000 };
const vehicle: Vehicle = { vehicleId: 'T-1', levels: { loadedKpa: 430 } };
const sites = [{ siteId: 'north', bearsLoadedTrailer: true }] as unknown as Site[];

/** Every signal once a second, but for those named otherwise. */
function truck(
  otherwise: Partial<Record<SignalName, Cadence | null>> = {},
  more: Partial<TruckReports> = {},
): TruckReports {
  return {
    vehicleId: 'T-1',
    vehicle,
    loadSignal: 'suspensionKpa',
    cadence: (signal) => (signal in otherwise ? otherwise[signal]! : everySecond),
    ...more,
  };
}

function notFully(
  reports: TruckReports,
  known: readonly Site[] = sites,
  policy = builtInPolicy,
): Record<string, CheckReach['reach']> {
  const reaches = checkReaches(policy, reports, known).filter(({ reach }) => reach !== 'judged');
  return Object.fromEntries(reaches.map(({ check, reach }) => [check, reach]));
}

function whyOf(check: string, reports: TruckReports, known: readonly Site[] = sites): readonly string[] {
  return checkReaches(builtInPolicy, reports, known).find((one) => one.check === check)!.why;
}

describe('how far the checks reach', () => {
  it('a truck that reports everything once a second leaves none out', () => {
    expect(notFully(truck())).toEqual({});
    expect(checkReaches(builtInPolicy, truck(), sites).map(({ check }) => check)).toEqual(
      builtInPolicy.checks.map(({ check }) => check),
    );
  });

  it('nothing can be judged without a load or a speed, and the reason is said once a check', () => {
    const blind = truck({}, { loadSignal: null });
    expect(new Set(Object.values(notFully(blind)))).toEqual(new Set(['never-judged']));
    expect(Object.keys(notFully(blind))).toHaveLength(builtInPolicy.checks.length);
    expect(whyOf('gear-hold-pause', blind)).toEqual(['neither suspensionKpa nor axleLoadKg is reported']);
    expect(whyOf('coupling-dwell', truck({ speedKph: null }))).toEqual(['speedKph is not reported']);
  });

  it('steel springs are said in words', () => {
    const steel = truck({}, { loadSignal: null, vehicle: { ...vehicle, driveSuspension: 'spring' } });
    expect(whyOf('gear-hold-pause', steel)[0]).toMatch(
      /^it runs on steel springs by the vehicles file, where pressure proves nothing/,
    );
  });

  it('axle load stands in for pressure, and engine speed for the accelerator', () => {
    expect(notFully(truck({ suspensionKpa: null }, { loadSignal: 'axleLoadKg' }))).toEqual({});
    expect(notFully(truck({ acceleratorPct: null }))).toEqual({});
    expect(notFully(truck({ acceleratorPct: null, engineRpm: null }))).toEqual({
      'backing-above-idle': 'never-judged',
    });
  });

  it('one lamp of two is enough, and a lamp that is not asked for does not count', () => {
    expect(notFully(truck({ hazardLamps: null }))).toEqual({});
    expect(notFully(truck({ hazardLamps: null, headlamps: null }))).toEqual({ 'lamps-while-backing': 'never-judged' });
    const parsed = parsePolicy({ version: 1, checks: { 'lamps-while-backing': { headlamps: 'not-asked' } } });
    if (!('policy' in parsed)) throw new Error('the policy is sound');
    expect(notFully(truck({ hazardLamps: null }), sites, parsed.policy)).toEqual({
      'lamps-while-backing': 'never-judged',
    });
  });

  it('without a gear nothing about the reversing is shown missed', () => {
    expect(notFully(truck({ gear: null }))).toEqual({
      'approach-stop': 'never-missed',
      'backing-speed': 'never-missed',
      'backing-above-idle': 'never-missed',
      'contact-speed': 'never-missed',
      'repeated-attempts': 'never-missed',
    });
  });

  it('samples five seconds apart prove no position that was held', () => {
    const slow = truck({ acceleratorPct: everyFive, hazardLamps: everyFive });
    expect(notFully(slow)).toEqual({ 'backing-above-idle': 'never-judged' });
    expect(whyOf('backing-above-idle', slow)).toEqual([
      'acceleratorPct comes every 5 s, and a proof takes samples no more than 1.5 s apart',
    ]);
    expect(notFully(truck({ acceleratorPct: changes }))).toEqual({});
  });

  it('no tug test is shown missing where torque is silent', () => {
    expect(notFully(truck({ torquePct: null }))).toEqual({ 'tug-test-count': 'never-missed' });
    expect(notFully(truck({ torquePct: changes }))).toEqual({ 'tug-test-count': 'never-missed' });
  });

  it('the companion files are part of what is known', () => {
    expect(notFully(truck(), [])).toEqual({ 'loaded-drop-surface': 'never-judged' });
    expect(notFully(truck({}, { vehicle: null }))).toEqual({ 'loaded-drop-surface': 'never-missed' });
    expect(notFully(truck({}, { vehicle: { ...vehicle, use: 'yard' } }))).toEqual({
      'backing-above-idle': 'not-asked',
      'gear-hold-pause': 'not-asked',
    });
  });

  it('a check that the policy does not ask is not listed', () => {
    const parsed = parsePolicy({ version: 1, checks: { 'gear-hold-pause': { enabled: false } } });
    if (!('policy' in parsed)) throw new Error('the policy is sound');
    const checks = checkReaches(parsed.policy, truck(), sites).map(({ check }) => check);
    expect(checks).not.toContain('gear-hold-pause');
    expect(checks).toHaveLength(builtInPolicy.checks.length - 1);
  });
});
