/** `gearhold match`: dispatch's records against what was seen, as a page to read or one JSON object a result. */

import type { ExitStatus } from '@gearhold/shared';
import { workResults } from '../dispatch/match.ts';
import { workCaution, workSection } from '../dispatch/section.ts';
import { WorkWatch } from '../dispatch/work-watch.ts';
import { type Io, Job, type JobOptions } from '../job.ts';
import { footLines, frameFor, headLines } from '../report/frame.ts';
import { writeText } from '../text-output.ts';

export interface MatchOptions extends JobOptions {
  readonly work: string;
  readonly windowMinutes: number;
  readonly ndjson: boolean;
  readonly ascii: boolean;
}

export async function matchCommand(files: readonly string[], options: MatchOptions, io: Io): Promise<ExitStatus> {
  const began = performance.now();
  const watch = await WorkWatch.open(options.work, options.windowMinutes);
  const job = await Job.prepare(files, options, io, null);
  try {
    const analysis = await job.run((episode) => watch.add(episode), { engine: watch.engine(job.companions) });
    const seconds = (performance.now() - began) / 1000;
    const work = watch.matched();
    const frame = frameFor(io.stdout, options.ascii, [options.work, ...files]);
    const lines = options.ndjson
      ? workResults(work).map((result) => JSON.stringify(result))
      : [
          ...headLines('gearhold match', frame),
          ...workSection(work, frame, job.companions.sites),
          ...footLines(frame, workCaution),
        ];
    await writeText(
      io.stdout,
      lines.map((line) => `${line}\n`),
    );
    io.stderr.write(`${watch.summary().join('\n')}\n`);
    return job.close(analysis, seconds);
  } finally {
    job.abandon();
  }
}
