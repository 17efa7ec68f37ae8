import type { Site } from '@gearhold/policy';
import { describe, expect, it } from 'vitest';
import type { Frame } from '../report/frame.ts';
import { plain } from '../report/paint.ts';
import { type Covered, matchWork } from './match.ts';
import { workSection } from './section.ts';
import type { WrittenRecord } from './work-file.ts';

const frame: Frame = { width: 80, ascii: false, paint: plain, files: [] };
const sites = [{ siteId: 'north', name: 'North yard', zone: 'America/Chicago' }] as unknown as Site[];
const at = (minutes: number) => new Date(Date.UTC(2026, 2, 2, 12, minutes)).toISOString();
const speed = { signal: 'speedKph', mode: 'periodic', everySeconds: 1, rows: 9, share: 1 } as const;
const day: Covered = { firstTime: at(0), lastTime: at(600), loadSignal: 'suspensionKpa', signals: [speed] };

const record = (minutes: number, more: Partial<WrittenRecord> = {}): WrittenRecord => {
  return { time: at(minutes), vehicleId: 'T-1', action: 'hook', line: 7, ...more };
};
const coupling = (minutes: number, vehicleId = 'T-1') => {
  const [episodeId, kind, loadTransferTime] = [`e${minutes}`, 'coupling' as const, at(minutes)];
  const trailer = { trailerLoad: 'loaded', confidence: 0.97 };
  return { episodeId, kind, vehicleId, driverId: 'D-2', loadTransferTime, siteId: null, ...trailer };
};

/** The section as one text: lines joined, so that no break matters. */
function text(records: readonly WrittenRecord[], episodes: readonly ReturnType<typeof coupling>[]): string {
  const work = matchWork(records, episodes, new Map([['T-1', day]]), 60);
  const lines = workSection(work, frame, sites);
  expect(Math.max(...lines.map((line) => line.length))).toBeLessThanOrEqual(80);
  return lines
    .map((line) => line.replace(/^.{14}│ */, ''))
    .join(' ')
    .replace(/ +/g, ' ');
}

describe('the section on records of dispatch', () => {
  it('opens with the share that was found and how sure it is', () => {
    const said = text([record(10), record(200)], [coupling(6)]);
    expect(said).toMatch(
      /^Of 2 records of dispatch that the readings cover, 1 was found: 50\.0 % \(95 % interval 9\.5 % to 90\.5 %\)\. It lies 4 min after the load transfer\. Further apart than 60 min nothing is matched\./,
    );
    expect(said).toContain('hooks 2 1 1 50.0 % (9.5 % to 90.5 %) drops 0 0 0 none recorded');
  });

  it('warns of pairs that lie far apart', () => {
    expect(text([record(10)], [coupling(50)])).toContain(
      'It lies 40 min before the load transfer. One lies more than 30 min from it, and may be something else.',
    );
  });

  it('lists what was recorded and not seen, with its line and place', () => {
    const lost = record(200, {
      action: 'drop',
      trailerId: 'R-9',
      trailerType: 'van',
      driverId: 'D-1',
      siteId: 'north',
    });
    const said = text([lost], [coupling(206)]);
    expect(said).toContain('Recorded, but not seen: 1');
    expect(said).toContain(
      'Truck T-1, drop of trailer R-9 (van): no uncoupling was seen within 60 min of it, or only one that another record fits better. The record lies 6 min before a coupling that was seen. line 7 of the work file · driver D-1',
    );
  });

  it('gives times in the zone that all sites share where the place is not known', () => {
    const lines = workSection(matchWork([record(200)], [], new Map([['T-1', day]]), 60), frame, sites);
    expect(lines.some((line) => line.startsWith('09:20 CST'))).toBe(true);
  });

  it('lists what was seen and nobody recorded', () => {
    const said = text([record(10)], [coupling(12), coupling(30)]);
    expect(said).toContain('Seen, but not recorded: 1');
    expect(said).toContain('Truck T-1, coupling: nobody recorded it. trailer loaded · 97 % sure · driver D-2');
  });

  it('counts apart what the other side does not reach', () => {
    const said = text([record(10), record(5, { vehicleId: 'T-7' }), record(-300)], [coupling(12), coupling(9, 'T-8')]);
    expect(said).toContain('Of 1 record of dispatch that the readings cover, 1 was found');
    expect(said).toContain(
      'Left out of the shares: 1 record of trucks that sent no readings: T-7. 1 record from before the first reading of the truck, or after its last. 1 episode of trucks that the work file does not name: T-8.',
    );
  });

  it('says that nothing can be said where no record falls into the readings', () => {
    expect(text([], [coupling(9)])).toContain('No record of dispatch falls into the readings');
  });
});
