/** `gearhold analyze`: episodes as NDJSON, by load transfer time, then vehicle. */

import type { ExitStatus } from '@gearhold/shared';
import { AtomicFile } from '@gearhold/shared';
import { type Io, Job, type JobOptions } from '../job.ts';
import { LineStore } from '../line-store.ts';
import { writeText } from '../text-output.ts';

export interface AnalyzeOptions extends JobOptions {
  readonly out?: string;
}

export async function analyzeCommand(files: readonly string[], options: AnalyzeOptions, io: Io): Promise<ExitStatus> {
  const began = performance.now();
  const job = await Job.prepare(files, options, io, options.out ?? null);
  const out = options.out === undefined ? null : new AtomicFile(options.out, 'output file');
  const lines = new LineStore();
  try {
    const analysis = await job.run((episode) => {
      lines.add(Date.parse(episode.loadTransferTime), episode.vehicleId, JSON.stringify(episode));
    });
    const seconds = (performance.now() - began) / 1000;
    if (out === null) await writeText(io.stdout, lines.lines());
    else for (const line of lines.lines()) out.write(line);
    out?.commit();
    return job.close(analysis, seconds);
  } finally {
    lines.close();
    out?.abandon();
    job.abandon();
  }
}
