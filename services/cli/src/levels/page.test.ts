import type { TruckLevels } from '@gearhold/schemas';
import { describe, expect, it } from 'vitest';
import { plain } from '../report/paint.ts';
import { type LevelsPageOptions, levelsPage } from './page.ts';

const options: LevelsPageOptions = {
  width: 80,
  units: 'metric',
  ascii: false,
  paint: plain,
  files: ['day.csv'],
  stated: [],
};
const truck: TruckLevels = {
  vehicleId: 'T-1',
  rows: 3600,
  firstTime: '2026-03-02T06:00:00.000Z',
  lastTime: '2026-03-02T07:00:00.000Z',
  driveSuspension: 'air',
  loadSignal: 'suspensionKpa',
  unit: 'kPa',
  levels: {
    bobtail: { value: 62, basis: 'learned' },
    empty: null,
    loaded: { value: 430, basis: 'stated' },
  },
  bobtailTransfers: 3,
  trailers: { count: 2, lightest: 151.5, heaviest: 402 },
  noise: 1.1,
  step: 0.5,
  blindSpeedKph: { value: 2.2, basis: 'learned' },
  idleRpm: 600,
  releasedPedalPct: null,
  signals: [
    { signal: 'gear', mode: 'change-only', everySeconds: null, rows: 36, share: 0.01 },
    { signal: 'suspensionKpa', mode: 'periodic', everySeconds: 5, rows: 720, share: 0.2 },
    { signal: 'speedKph', mode: 'periodic', everySeconds: 1, rows: 3600, share: 1 },
    { signal: 'rideHeightMm', mode: 'unknown', everySeconds: null, rows: 2, share: 0.0006 },
  ],
  notReported: ['torquePct', 'headingDeg'],
  contradictions: [],
  episodes: { coupling: 2, uncoupling: 1 },
  checks: [
    { check: 'gear-hold-pause', reach: 'judged', why: [] },
    { check: 'tug-test-count', reach: 'never-missed', why: ['torquePct is not reported'] },
  ],
};

/** The page as one text: lines joined, so that no break matters. */
function text(trucks: readonly TruckLevels[], more: Partial<LevelsPageOptions> = {}): string {
  return levelsPage(trucks, { ...options, ...more })
    .map((line) => line.replace(/^.{14}│ */, ''))
    .join(' ')
    .replace(/ +/g, ' ');
}

describe('the page of learned levels', () => {
  it('says what shows the load, each level and where it comes from', () => {
    const said = text([truck]);
    expect(said).toContain('Truck T-1 shows its load by drive-axle pressure: 2 couplings and 1 uncoupling seen.');
    expect(said).toContain('Bobtail 62 kPa learned from 3 transfers');
    expect(said).toContain('Empty trailer not known not learned where the full one is stated');
    expect(said).toContain('Full trailer 430 kPa stated');
    expect(said).toContain('2 trailers, from 152 kPa to 402 kPa. Load noise 1.1 kPa, smallest step 0.5 kPa.');
    expect(said).toContain('Speed reads 0 below 2.2 km/h (learned). Idle 600 r/min.');
    expect(said).not.toContain('Released pedal');
  });

  it('lists the signals by how they come, those with gaps with their share', () => {
    expect(text([truck])).toContain(
      'Every 1 s: speedKph. Every 5 s: suspensionKpa (20 %). Only changes: gear (1 %). Too seldom to tell how: rideHeightMm (2). Never: torquePct, headingDeg.',
    );
  });

  it('never breaks a line between a figure and its unit', () => {
    const signals = Array.from({ length: 12 }, () => ({ ...truck.signals[0]!, share: 0.003 }));
    for (const width of [64, 71, 80]) {
      const lines = levelsPage([{ ...truck, signals }], { ...options, width });
      expect(lines.filter((line) => /│ +%/.test(line))).toEqual([]);
    }
  });

  it('says which checks are out of reach and why, and when none is', () => {
    expect(text([truck])).toContain('Can be shown met, but never missed: tug-test-count: torquePct is not reported.');
    expect(text([{ ...truck, checks: truck.checks.slice(0, 1) }])).toContain(
      'No check that the policy asks is out of reach.',
    );
  });

  it('says in words that steel springs, or no load signal, show nothing', () => {
    const blind = { ...truck, loadSignal: null, unit: null, trailers: null };
    const steel = text([{ ...blind, driveSuspension: 'spring' }]);
    expect(steel).toContain('runs on steel springs by the vehicles file. Pressure proves nothing there');
    expect(steel).toContain('No coupling or uncoupling can be seen on it.');
    expect(steel).toContain('No check that the policy asks can be judged on it.');
    expect(steel).not.toContain('Bobtail');
    expect(text([{ ...blind, driveSuspension: null }])).toContain(
      'Truck T-1 reports no load: neither suspensionKpa nor axleLoadKg.',
    );
  });

  it('says what the readings contradict, and which figure is used', () => {
    const contradictions = [
      { figure: 'bobtailKpa', stated: 110, seen: 62, times: 3 },
      { figure: 'loadedKpa', stated: 430, seen: 502, times: 2 },
      { figure: 'blindSpeedKph', stated: 4, seen: 2.2, times: null },
    ] as const;
    const said = text([{ ...truck, contradictions: [...contradictions] }]);
    expect(said).toContain('The readings contradict the vehicles file on T-1.');
    expect(said).toContain(
      'The vehicles file states 110 kPa for bobtail; 3 transfers show about 62 kPa. What was learned is used.',
    );
    expect(said).toContain(
      'The vehicles file states 430 kPa for a full trailer; 2 trailers were heavier, about 502 kPa. The stated one is still used: mend the file.',
    );
    expect(said).toContain('says that speed reads 0 below 4 km/h; the readings show speeds down to 2.2 km/h.');
  });

  it('names the vehicles of the file that sent nothing, and speaks psi and mph when asked', () => {
    expect(text([truck], { stated: ['T-1', 'T-9'] })).toContain('In the vehicles file, but not in the readings: T-9.');
    const us = text([truck], { units: 'us' });
    expect(us).toContain('Bobtail 9.0 psi');
    expect(us).toContain('below 1.4 mph');
  });

  it('says what would stand there where no row could be used', () => {
    expect(text([])).toContain('No readings could be used, so nothing was learned.');
  });

  it('keeps to its width, and to ASCII where asked', () => {
    const id = 'x'.repeat(64);
    for (const width of [64, 80, 100]) {
      const lines = levelsPage([{ ...truck, vehicleId: id }], { ...options, width });
      expect(Math.max(...lines.map((line) => line.length))).toBeLessThanOrEqual(width);
    }
    expect(levelsPage([truck], { ...options, ascii: true }).join('\n')).toMatch(/^[\n\x20-\x7e]*$/);
  });
});
