import { describe, expect, it } from 'vitest';
import { askedChecks } from './asked.ts';
import { checkList } from './checks/index.ts';
import { parsePolicy, problemSentence } from './parse-policy.ts';
import { builtInPolicy, type Policy, policyFile } from './policy.ts';

function parsed(json: unknown): Policy {
  const result = parsePolicy(json);
  if ('problems' in result) throw new Error(result.problems.map(problemSentence).join(' '));
  return result.policy;
}

function sentences(json: unknown): string[] {
  const result = parsePolicy(json);
  return 'problems' in result ? result.problems.map(problemSentence) : [];
}

const names = (policy: Policy) => policy.checks.map(({ check }) => check);
const settingOf = (policy: Policy, check: string) => policy.checks.find((setting) => setting.check === check)!;

describe('the built-in policy', () => {
  it('has every check once, enabled, each limit with its source', () => {
    expect(names(builtInPolicy)).toEqual(checkList.map(({ name }) => name));
    for (const { enabled, limits, sources } of builtInPolicy.checks) {
      expect(enabled).toBe(true);
      expect(Object.keys(sources)).toEqual(Object.keys(limits));
    }
  });

  it('holds limits that its own schema takes', () => {
    for (const { limits } of checkList) {
      for (const limit of Object.values(limits)) expect(limit.schema.safeParse(limit.builtIn).success).toBe(true);
    }
  });

  it('comes back unchanged from the file that it is printed as', () => {
    expect(parsed(JSON.parse(JSON.stringify(policyFile(builtInPolicy))))).toEqual(builtInPolicy);
  });

  it('has the limits of the contract', () => {
    expect(settingOf(builtInPolicy, 'gear-hold-pause').limits).toEqual({
      minSeconds: 30,
      dumpedPause: 'either',
      underMetres: 2,
      clearMetres: 3,
    });
    expect(settingOf(builtInPolicy, 'backing-above-idle').limits).toEqual({
      maxAcceleratorPct: 2,
      sustainedSeconds: 1,
      maxRpmAboveIdle: 150,
    });
  });
});

describe('a policy file', () => {
  it('needs nothing but its version', () => {
    expect(parsed({ version: 1 })).toEqual(builtInPolicy);
  });

  it('sets the order of the output, checks that it does not name following', () => {
    const order = names(parsed({ version: 1, checks: { 'tug-test-count': {}, 'approach-stop': {} } }));
    expect(order.slice(0, 3)).toEqual(['tug-test-count', 'approach-stop', 'lamps-while-backing']);
    expect(order).toHaveLength(checkList.length);
  });

  it('changes one limit and drops the source of the old value', () => {
    const { limits, sources } = settingOf(
      parsed({ version: 1, checks: { 'gear-hold-pause': { minSeconds: 45 } } }),
      'gear-hold-pause',
    );
    expect(limits).toMatchObject({ minSeconds: 45, underMetres: 2 });
    expect(sources.minSeconds).toBe('set by this policy');
    expect(sources.underMetres).toMatch(/house policy/);
  });

  it.each([
    [{}, 'version: expected 1, but found nothing.'],
    [{ version: 2 }, 'version: expected 1, but found 2.'],
    [[], 'The policy: expected an object, but found [].'],
    [
      { version: 1, checks: { 'gear-hold-pause': { minSeconds: '30' } } },
      'checks.gear-hold-pause.minSeconds: expected a number, but found "30".',
    ],
    [
      { version: 1, checks: { 'gear-hold-pause': { minSeconds: -1 } } },
      'checks.gear-hold-pause.minSeconds: expected a number of at least 0, but found -1.',
    ],
    [
      { version: 1, checks: { 'gear-hold-pause': { dumpedPause: 'both' } } },
      'checks.gear-hold-pause.dumpedPause: expected one of "either", "before-pull", but found "both".',
    ],
    [
      { version: 1, overrides: [{ sites: ['a'], checks: { 'gear-hold-pause': { enabled: 1 } } }] },
      'overrides[0].checks.gear-hold-pause.enabled: expected a boolean, but found 1.',
    ],
    [
      { version: 1, overrides: [{ checks: {} }] },
      'overrides[0]: expected at least one of sites, vehicles, terminals, but found {"checks":{}}.',
    ],
    [
      { version: 1, checks: { 'gear-hold-pause': { underMetres: 4 } } },
      'checks.gear-hold-pause.underMetres: expected at most clearMetres, which is 3, but found 4.',
    ],
  ])('that says %j is told so in a sentence', (json, sentence) => {
    expect(sentences(json)).toEqual([sentence]);
  });

  it('is told which keys there are where it names one that is not', () => {
    expect(sentences({ version: 1, checks: { 'gear-hold-pause': { minSecond: 30 } } })[0]).toMatch(
      /^checks\.gear-hold-pause\.minSecond: expected one of enabled, minSeconds, .*, but found "minSecond"\.$/,
    );
    expect(sentences({ version: 1, checks: { 'gear-hold': {} } })[0]).toMatch(/expected one of approach-stop, /);
  });

  it('is told every mistake at once', () => {
    expect(sentences({ version: 1, checks: { 'backing-speed': { maxKph: -1, sustainedSeconds: 0 } } })).toHaveLength(2);
  });
});

describe('overrides', () => {
  const policy = parsed({
    version: 1,
    overrides: [
      { sites: ['north'], checks: { 'gear-hold-pause': { minSeconds: 60 } } },
      { sites: ['north'], vehicles: ['T-1'], checks: { 'gear-hold-pause': { minSeconds: 90, urgency: 'today' } } },
      { terminals: ['west'], checks: { 'load-returned': { enabled: false } } },
    ],
  });
  const circle = { latitude: 0, longitude: 0, radiusM: 1 };
  const pause = (vehicleId: string, siteId: string) =>
    askedChecks(policy, 'uncoupling', vehicleId, { site: { siteId, circle }, vehicle: null }).find(
      ({ definition }) => definition.name === 'gear-hold-pause',
    )!.setting;

  it('hold where every list that is given names the place or the vehicle, a later one winning', () => {
    expect(pause('T-2', 'south').limits.minSeconds).toBe(30);
    expect(pause('T-2', 'north').limits.minSeconds).toBe(60);
    expect(pause('T-1', 'north')).toMatchObject({ limits: { minSeconds: 90 }, urgency: 'today' });
  });

  it('take a terminal from the vehicle or from the site', () => {
    const has = (context: Parameters<typeof askedChecks>[3]) =>
      askedChecks(policy, 'uncoupling', 'T-1', context).some(({ definition }) => definition.name === 'load-returned');
    expect(has({ site: null, vehicle: null })).toBe(true);
    expect(has({ site: null, vehicle: { vehicleId: 'T-1', terminal: 'west' } })).toBe(false);
    expect(has({ site: { siteId: 'x', terminal: 'west', circle }, vehicle: null })).toBe(false);
  });

  it('leave out a check that is not enabled, and keep the order of the rest', () => {
    const off = parsed({ version: 1, checks: { 'load-returned': {}, 'gear-hold-pause': { enabled: false } } });
    const asked = askedChecks(off, 'uncoupling', 'T-1', { site: null, vehicle: null });
    expect(asked.map(({ definition }) => definition.name)).toEqual([
      'load-returned',
      'loaded-drop-surface',
      'parking-brake-set',
      'airbags-restored',
    ]);
  });
});
