/**
 * Limits that have no published source say so, and those that have one name it.
 *
 * Sources: the gear-hold pause of 30 s and the number of tug tests are rules of thumb of the trade, common practice: no
 * standard, regulation or manual that was found sets them. The public CDL manual (AAMVA model, section 6, coupling step
 * 11) asks for one gentle pull and gives no number of seconds anywhere in coupling or uncoupling.
 */
import { builtInPolicy, checkList } from '@gearhold/policy';
import { describe, expect, test } from 'vitest';

const limits = checkList.flatMap((check) =>
  Object.entries(check.limits).map(([name, limit]) => [`${check.name}, ${name}`, limit] as const),
);

test.each(limits)('%s names a source, or says that there is none', (_, limit) => {
  expect(limit.source).toMatch(/common practice|house policy|manual|p\. \d+|CFR|J1939/);
});

describe('rules of thumb', () => {
  test('30 s for the landing gear to show that it holds', () => {
    const pause = checkList.find((check) => check.name === 'gear-hold-pause');
    expect(pause?.limits.minSeconds).toMatchObject({ builtIn: 30 });
    expect(pause?.limits.minSeconds?.source).toContain('common practice');
  });

  test('a foot off the accelerator', () => {
    const backing = checkList.find((check) => check.name === 'backing-above-idle');
    expect(backing?.limits).toMatchObject({ maxAcceleratorPct: { builtIn: 2 }, sustainedSeconds: { builtIn: 1 } });
    expect(backing?.limits.maxAcceleratorPct?.source).toMatch(/common practice|house policy/);
  });

  test('two tug tests within two minutes', () => {
    const tugs = checkList.find((check) => check.name === 'tug-test-count');
    expect(Object.values(tugs?.limits ?? {}).map((limit) => limit.builtIn)).toEqual([2, 120]);
    for (const limit of Object.values(tugs?.limits ?? {})) expect(limit.source).toContain('house policy');
    expect(tugs?.source).toContain('CDL manual');
  });
});

test('the sources travel with the built-in policy', () => {
  for (const setting of builtInPolicy.checks) {
    expect(Object.keys(setting.sources).sort()).toEqual(Object.keys(setting.limits).sort());
  }
});
