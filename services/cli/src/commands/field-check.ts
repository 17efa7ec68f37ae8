/**
 * `gearhold field-check`: a sheet to print, its CSV template, or a filled sheet against the analysis of the readings of that
 * time.
 */

import { readCompanions } from '@gearhold/operations/inputs';
import { AtomicFile, type ExitStatus, exitStatus, Failure } from '@gearhold/shared';
import { checkJson } from '../field-check/check-json.ts';
import { checkPage } from '../field-check/check-page.ts';
import { csvTemplate } from '../field-check/columns.ts';
import { compare, type FoundEpisode } from '../field-check/compare.ts';
import { printedSheet } from '../field-check/printed-sheet.ts';
import { ReadingWatch } from '../field-check/reading-watch.ts';
import { readSheet } from '../field-check/sheet-file.ts';
import { conclude, totalsOf } from '../field-check/totals.ts';
import { type Io, Job, type JobOptions } from '../job.ts';
import { pageWidth } from '../report/page-width.ts';
import { paintFor, plain } from '../report/paint.ts';
import { steelSprings } from '../report/steel-springs.ts';
import { writeText } from '../text-output.ts';

export interface FieldCheckOptions extends Omit<JobOptions, 'format' | 'kinds'> {
  readonly sheet: boolean;
  readonly template: boolean;
  readonly out?: string;
  readonly format: 'text' | 'json';
  /** s */
  readonly window: number;
  /** s */
  readonly tolerance: number;
  readonly ascii: boolean;
}

export async function fieldCheckCommand(
  sheet: string | undefined,
  files: readonly string[],
  options: FieldCheckOptions,
  io: Io,
): Promise<ExitStatus> {
  if (options.sheet || options.template) return writeBlank(sheet, options, io);
  if (sheet === undefined || files.length === 0) {
    throw new Failure(
      exitStatus.usage,
      'field-check needs a filled sheet and the readings of that time: expected gearhold field-check SHEET.csv READINGS..., or --sheet or --template for an empty one.',
    );
  }
  return checkSheet(sheet, files, options, io);
}

async function writeBlank(sheet: string | undefined, options: FieldCheckOptions, io: Io): Promise<ExitStatus> {
  if (options.sheet && options.template) {
    throw new Failure(exitStatus.usage, '--sheet and --template are two files: expected one of them.');
  }
  if (sheet !== undefined) {
    const option = options.sheet ? '--sheet' : '--template';
    throw new Failure(
      exitStatus.usage,
      `${option} makes an empty one and reads no file: expected no file, or no ${option}.`,
    );
  }
  const { policy } = await readCompanions(options.policy === undefined ? {} : { policy: options.policy });
  await write(options.sheet ? printedSheet(policy) : csvTemplate(), options.out, io);
  return exitStatus.done;
}

async function checkSheet(
  sheet: string,
  files: readonly string[],
  options: FieldCheckOptions,
  io: Io,
): Promise<ExitStatus> {
  const began = performance.now();
  const rows = await readSheet(sheet);
  const { format, ...reading } = options;
  const job = await Job.prepare(files, { ...reading, kinds: 'all' }, io, options.out ?? null, [sheet]);
  try {
    const watch = new ReadingWatch(rows, options.window);
    const episodes: FoundEpisode[] = [];
    const vehicleIds = new Set(rows.map(({ vehicleId }) => vehicleId));
    const analysis = await job.run(
      (wire, episode) => {
        if (vehicleIds.has(wire.vehicleId)) episodes.push({ episode, wire });
      },
      { onReadings: (batch) => watch.batch(batch) },
    );
    const seconds = (performance.now() - began) / 1000;
    const tolerances = { windowSeconds: options.window, stopwatchSeconds: options.tolerance };
    const comparison = compare(rows, episodes, (row) => watch.hasReadings(row), tolerances);
    const totals = totalsOf(comparison);
    const result = { comparison, totals, conclusion: conclude(comparison, totals) };
    const lines = checkPage(result, {
      width: pageWidth(io.stdout),
      ascii: options.ascii,
      paint: options.out === undefined ? paintFor(io.stdout) : plain,
      sheet,
      tolerances,
      onSteel: steelSprings(job.companions.vehicles),
    });
    await write(format === 'json' ? checkJson(result, sheet, tolerances) : `${lines.join('\n')}\n`, options.out, io);
    return job.close(analysis, seconds);
  } finally {
    job.abandon();
  }
}

async function write(text: string, out: string | undefined, io: Io): Promise<void> {
  if (out === undefined) return writeText(io.stdout, [text]);
  const file = new AtomicFile(out, 'output file');
  try {
    file.write(text);
    file.commit();
  } finally {
    file.abandon();
  }
}
