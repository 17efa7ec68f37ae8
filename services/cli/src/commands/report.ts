/** `gearhold report`: the same analysis as a page to read. */
import type { Vehicle } from '@gearhold/episodes';
import type { ExitStatus } from '../failure.ts';
import { type Io, Job, type JobOptions } from '../job.ts';
import { Findings } from '../report/findings.ts';
import { frameFor } from '../report/frame.ts';
import { reportPage } from '../report/page.ts';
import type { Units } from '../report/units.ts';
import { writeText } from '../text-output.ts';

export interface ReportOptions extends JobOptions {
  readonly units: Units;
  readonly ascii: boolean;
}

export async function reportCommand(files: readonly string[], options: ReportOptions, io: Io): Promise<ExitStatus> {
  const began = performance.now();
  const job = await Job.prepare(files, options, io, null);
  try {
    const findings = new Findings();
    const analysis = await job.run((episode) => findings.add(episode));
    const seconds = (performance.now() - began) / 1000;
    const lines = reportPage(findings, {
      ...frameFor(io.stdout, options.ascii, files),
      units: options.units,
      sites: job.companions.sites,
      checks: job.companions.policy.checks.map(({ check }) => check),
      vehicles: analysis.found.vehicles,
      onSteel: steelSprings(job.companions.vehicles),
    });
    await writeText(
      io.stdout,
      lines.map((line) => `${line}\n`),
    );
    return job.close(analysis, seconds);
  } finally {
    job.abandon();
  }
}

function steelSprings(vehicles: readonly Vehicle[]): string[] {
  const steel = vehicles.filter((vehicle) => vehicle.driveSuspension === 'spring').map(({ vehicleId }) => vehicleId);
  return [...new Set(steel)].sort();
}
