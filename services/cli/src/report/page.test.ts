import { Findings } from '@gearhold/look';
import type { Site, WireCheck, WireEpisode } from '@gearhold/policy';
import { describe, expect, it } from 'vitest';
import { type PageOptions, reportPage } from './page.ts';
import { plain } from './paint.ts';

const north: Site = {
  siteId: 'north-yard',
  name: 'North yard',
  zone: 'America/Chicago',
  circle: { latitude: 1, longitude: 2, radiusM: 100 },
};

function pause(outcome: WireCheck['outcome'], low: number, high: number, more: Partial<WireCheck> = {}): WireCheck {
  const text =
    outcome === 'missed'
      ? 'The trailer was left after {pause}; {asked} are asked.'
      : 'Could not be judged: the pause lasted {pause}, and {asked} are asked.';
  const values = { pause: { value: high, unit: 's' }, asked: { value: 30, unit: 's' } };
  return {
    check: 'gear-hold-pause',
    outcome,
    measured: { value: high, low, high, unit: 's' },
    limit: { minSeconds: 30, underMetres: 2 },
    window: null,
    concern: 'driver',
    urgency: 'routine',
    reason: text.replace('{pause}', `${high} s`).replace('{asked}', '30 s'),
    reasonParts: { text, values },
    ...more,
  };
}

function episode(vehicleId: string, loadTransferTime: string, checks: WireCheck[]): WireEpisode {
  return {
    episodeId: `${vehicleId}${loadTransferTime}`,
    kind: 'uncoupling',
    vehicleId,
    driverId: 'D-31',
    driverBasis: 'reported',
    startTime: loadTransferTime,
    loadTransferTime,
    endTime: loadTransferTime,
    position: null,
    siteId: null,
    pressureBeforeKpa: 300,
    pressureAfterKpa: 60,
    trailerLoad: 'loaded',
    suspensionDumped: false,
    milestones: {},
    milestoneBounds: {},
    confidence: 0.978,
    checks,
  };
}

function page(episodes: readonly WireEpisode[], more: Partial<PageOptions> = {}): string[] {
  const findings = new Findings();
  for (const one of episodes) findings.add(one);
  const usual = {
    width: 72,
    units: 'metric',
    ascii: false,
    paint: plain,
    sites: [north],
    checks: ['gear-hold-pause'],
    files: ['day.csv'],
    vehicles: 9,
    onSteel: [],
    work: [],
  } as const;
  return reportPage(findings, { ...usual, ...more });
}

const missed = { ...episode('Q-217', '2026-03-03T11:42:10.000Z', [pause('missed', 0, 2)]), siteId: 'north-yard' };

describe('the page', () => {
  it('puts the sentence first, the bar under it, and the date in the margin', () => {
    const lines = page([missed]);
    const start = lines.indexOf('To look at: 1');
    expect(lines.slice(0, start)).toEqual([
      'gearhold                                                         day.csv',
      '━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━',
      '1 coupling or uncoupling seen on 1 truck of 9, on 3 Mar 2026 (UTC). One',
      'to look at: the data prove that a step was not taken as the policy asks.',
      'Every check could be judged.',
      '',
    ]);
    expect(lines.slice(start, start + 9)).toEqual([
      'To look at: 1',
      '────────────────────────────────────────────────────────────────────────',
      '3 Mar 2026    │ The trailer was left after 2 s; 30 s are asked.',
      '05:42 CST     │                                      30 s',
      'North yard    │ 0 ├███┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┃┄┄┄┄┄┄┄┄┄┄┄┤ 40 s',
      '              │ Truck Q-217 · uncoupling of a loaded trailer,',
      '              │ 98 % sure · for the driver: D-31 · gear-hold-pause',
      '────────────────────────────────────────────────────────────────────────',
      '',
    ]);
  });

  it('begins with what is urgent', () => {
    const later = episode('Q-1', '2026-03-03T12:00:00.000Z', [pause('missed', 0, 2, { urgency: 'urgent' })]);
    const said = page([missed, later]).filter((line) => line.includes('The trailer was left'));
    expect(said).toEqual([
      '3 Mar 2026    │ URGENT. The trailer was left after 2 s; 30 s are asked.',
      '3 Mar 2026    │ The trailer was left after 2 s; 30 s are asked.',
    ]);
  });

  it('says what could not be judged in the same layout, grouped by reason', () => {
    const why = { text: 'Could not be judged: {why}.', values: { why: 'speed was not reported' } };
    const blind = { measured: null, reason: 'Could not be judged: speed was not reported.', reasonParts: why };
    const lines = page([
      episode('Q-2', '2026-03-03T11:00:00.000Z', [pause('undetermined', 0, 40, blind)]),
      episode('Q-1', '2026-03-03T12:00:00.000Z', [pause('undetermined', 0, 40, blind)]),
      episode('Q-3', '2026-03-03T13:00:00.000Z', [pause('undetermined', 24, 33)]),
    ]);
    const start = lines.indexOf('Could not be judged: 3');
    expect(lines.slice(start, start + 12)).toEqual([
      'Could not be judged: 3',
      '────────────────────────────────────────────────────────────────────────',
      '2 times       │ Speed was not reported.',
      '              │                                      30 s',
      '              │ 0 ├◂╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱╱┃╱╱╱╱╱╱╱╱╱╱▸┤ 40 s',
      '              │ Trucks Q-1, Q-2 · gear-hold-pause',
      '────────────────────────────────────────────────────────────────────────',
      '1 time        │ The pause lasted 33 s, and 30 s are asked.',
      '              │                                      30 s',
      '              │ 0 ├┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄╱╱╱╱╱╱╱┃╱╱╱┄┄┄┄┄┄┄┄┤ 40 s',
      '              │ Truck Q-3 · gear-hold-pause',
      '────────────────────────────────────────────────────────────────────────',
    ]);
  });

  it('gives an example where the figures of one reason differ', () => {
    const lines = page([
      episode('Q-2', '2026-03-03T11:00:00.000Z', [pause('undetermined', 24, 33)]),
      episode('Q-1', '2026-03-03T12:00:00.000Z', [pause('undetermined', 20, 41)]),
    ]);
    expect(lines).toContain('2 times       │ For example, truck Q-1: The pause lasted 41 s, and 30 s');
  });

  it('tallies the outcomes of every check', () => {
    const lines = page([missed, episode('Q-3', '2026-03-03T13:00:00.000Z', [pause('undetermined', 24, 33)])]);
    const start = lines.findIndex((line) => line.startsWith('Checks'));
    expect(lines.slice(start, start + 3)).toEqual([
      'Checks           ═ met  █ missed  ╱ not judged  not asked',
      '────────────────────────────────────────────────────────────────────────',
      'gear-hold-pause      0         1             1          0',
    ]);
  });

  it('uses red for nothing but what is proven missed', () => {
    const lines = page([missed], { paint: { ...plain, missed: (text) => `<red>${text}</red>` } });
    expect(lines.filter((line) => line.includes('<red>'))).toEqual([
      'North yard    │ 0 ├<red>███</red>┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┃┄┄┄┄┄┄┄┄┄┄┄┤ 40 s',
    ]);
  });

  it('teaches where nothing was found', () => {
    const text = page([]).join(' ');
    expect(text).toContain('No coupling or uncoupling was seen in the readings of 9 trucks.');
    expect(text).toContain('--profile FILE');
    expect(page([], { vehicles: 0 }).join(' ')).toContain('No readings could be used');
  });

  it('says of which trucks nothing is to be expected, and why', () => {
    const steel = /By the vehicles file Q-218 runs on steel springs, where pressure proves nothing/;
    expect(page([missed], { onSteel: ['Q-218'] }).join(' ')).toMatch(steel);
    expect(page([], { onSteel: ['Q-218'] }).join(' ')).toMatch(steel);
    expect(page([missed], { onSteel: ['Q-218'], vehicles: 1 }).join(' ')).not.toMatch(steel);
  });

  it('ends with the cautions, whatever was found', () => {
    for (const lines of [page([]), page([missed])]) {
      const text = lines.join(' ');
      expect(text).toContain(
        'Data cannot show that a coupling is locked: only a person looking at the fifth wheel can.',
      );
      expect(text).toMatch(/what was not seen is never called done\.$/);
    }
  });

  it('keeps to its width, and to ASCII where asked', () => {
    const many = [missed, episode('Q-3', '2026-03-03T13:00:00.000Z', [pause('undetermined', 24, 33)])];
    for (const width of [64, 72, 80, 100]) {
      const lines = page(many, { width, ascii: true });
      for (const line of lines) {
        expect(line.length).toBeLessThanOrEqual(width);
        expect(line).toMatch(/^[\x20-\x7e]*$/);
      }
    }
  });

  it('says the order of arrival does not matter, by being the same page', () => {
    const many = ['Q-1', 'Q-2', 'Q-3'].flatMap((vehicleId, i) => [
      episode(vehicleId, `2026-03-03T1${i}:00:00.000Z`, [pause('missed', 0, i)]),
      episode(vehicleId, `2026-03-03T1${i}:30:00.000Z`, [pause('undetermined', 20, 40 + i)]),
    ]);
    expect(page(many.toReversed())).toEqual(page(many));
  });
});
