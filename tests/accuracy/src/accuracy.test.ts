import { rmSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { makeBatch } from './batch.ts';
import { figures } from './report.ts';
import { Tally } from './tally.ts';
import { analyse } from './wire.ts';

/** The two checks that every policy has. */
const contractChecks = ['gear-hold-pause', 'backing-above-idle'];

describe('the analysis on simulated readings held out from tuning', () => {
  it.each(['clean-1hz', '1hz-noisy'])('%s: finds nearly every episode and accuses nobody falsely', async (set) => {
    const batch = makeBatch(set, 'held-out-smoke-1', 0, 3, false);
    const tally = new Tally();
    try {
      tally.hours = batch.hours;
      tally.add(batch.truth, await analyse(batch.readings, batch.companions), batch.facts);
    } finally {
      rmSync(batch.folder, { recursive: true, force: true });
    }
    const result = figures(set, '', 'held-out-smoke-1', 3, tally);
    expect(result.episodes.truth).toBeGreaterThan(25);
    expect(result.episodes.f1).toBeGreaterThan(0.9);
    const accusations = result.findings.filter(
      (finding) => finding.what === 'false-missed' && contractChecks.includes(finding.check ?? ''),
    );
    expect(accusations).toEqual([]);
  });
});
