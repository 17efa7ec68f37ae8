/** `gearhold report`: the same analysis as a page to read. */

import { Findings, type Units, wrap } from '@gearhold/look';
import type { WireEpisode } from '@gearhold/policy';
import type { ExitStatus } from '@gearhold/shared';
import { workCaution, workSection } from '../dispatch/section.ts';
import { WorkWatch } from '../dispatch/work-watch.ts';
import { type Io, Job, type JobOptions } from '../job.ts';
import { frameFor } from '../report/frame.ts';
import { reportPage } from '../report/page.ts';
import { steelSprings } from '../report/steel-springs.ts';
import { writeText } from '../text-output.ts';

export interface ReportOptions extends JobOptions {
  readonly windowMinutes: number;
  readonly units: Units;
  readonly ascii: boolean;
}

export async function reportCommand(files: readonly string[], options: ReportOptions, io: Io): Promise<ExitStatus> {
  const began = performance.now();
  const watch = options.work === undefined ? null : await WorkWatch.open(options.work, options.windowMinutes);
  const job = await Job.prepare(files, options, io, null);
  try {
    const findings = new Findings();
    const take = (episode: WireEpisode) => {
      findings.add(episode);
      watch?.add(episode);
    };
    const analysis = await job.run(take, watch === null ? {} : { engine: watch.engine(job.companions) });
    const seconds = (performance.now() - began) / 1000;
    const frame = frameFor(io.stdout, options.ascii, files);
    const lines = reportPage(findings, {
      ...frame,
      units: options.units,
      sites: job.companions.sites,
      checks: job.companions.policy.checks.map(({ check }) => check),
      vehicles: analysis.found.vehicles,
      onSteel: steelSprings(job.companions.vehicles),
      work:
        watch === null
          ? []
          : [...workSection(watch.matched(), frame, job.companions.sites), ...wrap(workCaution, frame.width), ''],
    });
    await writeText(
      io.stdout,
      lines.map((line) => `${line}\n`),
    );
    if (watch !== null) io.stderr.write(`${watch.summary().join('\n')}\n`);
    return job.close(analysis, seconds);
  } finally {
    job.abandon();
  }
}
