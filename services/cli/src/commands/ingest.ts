/** `gearhold ingest`: readings into the store, each file once, and on from where it stopped. */
import { createWriteStream, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pipeline } from 'node:stream/promises';
import { complaint, count, printable, whole } from '@gearhold/look';
import {
  type DriverMode,
  driversOf,
  type IngestedFile,
  ingestFile,
  sizeOnDisk,
  storeStatements,
} from '@gearhold/operations/intake';
import { readStatementFiles, type StatementPaths } from '@gearhold/operations/statement-files';
import { withStore } from '@gearhold/operations/store-place';
import { AtomicFile, type ExitStatus, exitStatus, Failure } from '@gearhold/shared';
import { type InputFormat, IntakeReport, rejectReasons } from '@gearhold/signals';
import { type Engine, readRejects } from '@gearhold/store';
import type { Io } from '../job.ts';
import { showProgress } from '../progress.ts';

export interface IngestOptions extends StatementPaths {
  readonly store: string;
  readonly format?: InputFormat;
  readonly lateSeconds: number;
  readonly drivers?: DriverMode;
  /** ms since the epoch. */
  readonly policyFrom?: number;
  readonly rejects?: string;
}

interface Given {
  readonly path: string;
  readonly name: string;
}

export async function ingestCommand(names: readonly string[], options: IngestOptions, io: Io): Promise<ExitStatus> {
  if (names.filter((name) => name === '-').length > 1)
    throw new Failure(exitStatus.usage, 'standard input (-) can be read only once: expected one - among the files.');
  if (names.includes('-') && options.format === undefined)
    throw new Failure(exitStatus.usage, 'the format of standard input cannot be told: expected the option --format.');
  const files = await readStatementFiles(options);
  const rejects = options.rejects === undefined ? null : new AtomicFile(options.rejects, 'rejects file');
  const folder = names.includes('-') ? mkdtempSync(join(tmpdir(), 'gearhold-')) : null;
  try {
    const given: Given[] = [];
    for (const name of names) given.push(name === '-' ? await keptInput(folder!, io) : { path: name, name });
    const place = { databaseUrl: process.env.DATABASE_URL, folder: options.store };
    return await withStore(place, Date.now(), async (engine) => {
      const { mapping, mappingId, ...statements } = files;
      const kept = await driversOf(engine, options.drivers, Date.now());
      if (kept.before !== null) {
        io.stderr.write(
          `drivers were kept as ${kept.before} until now: rows that are stored keep what they have, new ones are ${kept.mode}\n`,
        );
      }
      await storeStatements(engine, { ...statements, policyFromMs: options.policyFrom }, kept, Date.now());
      const taken = await takeAll(engine, given, { ...options, mapping, mappingId, kept }, io);
      if (rejects !== null) for (const file of taken) await writeRejects(engine, file, rejects);
      rejects?.commit();
      return close(taken, io);
    });
  } finally {
    rejects?.abandon();
    if (folder !== null) rmSync(folder, { recursive: true, force: true });
  }
}

/** Standard input as a file: it has to be read twice, once to know whether it was taken before. */
async function keptInput(folder: string, io: Io): Promise<Given> {
  const path = join(folder, 'input');
  await pipeline(io.stdin, createWriteStream(path));
  return { path, name: 'standard input' };
}

type TakeOptions = Pick<Parameters<typeof ingestFile>[1], 'mapping' | 'mappingId'> &
  Pick<IngestOptions, 'format' | 'lateSeconds'> & { readonly kept: Awaited<ReturnType<typeof driversOf>> };

async function takeAll(engine: Engine, given: readonly Given[], options: TakeOptions, io: Io): Promise<IngestedFile[]> {
  const sizes = given.map(({ path }) => sizeOnDisk(path));
  const total = sizes.includes(null) ? null : sizes.reduce<number>((sum, size) => sum + size!, 0);
  const progress = showProgress(io.stderr, total);
  const taken: IngestedFile[] = [];
  let rowsBefore = 0;
  try {
    for (const { path, name } of given) {
      progress.file(name);
      const file = await ingestFile(engine, {
        path,
        name,
        format: options.format ?? null,
        mapping: options.mapping,
        mappingId: options.mappingId,
        lateMs: options.lateSeconds * 1000,
        drivers: options.kept.mode,
        driver: options.kept.driver,
        retryFailed: true,
        now: Date.now,
        onBytes: progress.bytes,
        onRows: (rows) => progress.rows(rowsBefore + rows),
      });
      rowsBefore += file.report.rowsRead;
      taken.push(file);
    }
  } finally {
    progress.stop();
  }
  return taken;
}

async function writeRejects(engine: Engine, { name, sha256 }: IngestedFile, out: AtomicFile): Promise<void> {
  for await (const { line, reason, text, cut } of readRejects(engine, sha256))
    out.write(`${JSON.stringify({ file: name, line, reason, row: text, ...(cut && { cut }) })}\n`);
}

function close(files: readonly IngestedFile[], io: Io): ExitStatus {
  const lines: string[] = [];
  const all = new IntakeReport();
  let unusable = false;
  for (const file of files) {
    lines.push(fateOf(file));
    all.add(file.report);
    const { rowsRead, rowsAccepted } = file.report;
    if (rowsRead > 0 && rowsAccepted === 0) unusable = true;
  }
  for (const [reason, rejected] of Object.entries(all.rejected)) {
    if (rejected > 0)
      lines.push(`  rejected ${whole(rejected)} as ${reason}: ${rejectReasons[reason as keyof typeof rejectReasons]}`);
  }
  for (const notice of all.notices) lines.push(notice);
  if (files.some(({ rowsNew, rowsChanged }) => rowsNew + rowsChanged > 0))
    lines.push('what is new is analysed by: gearhold nightly');
  io.stdout.write(`${lines.join('\n')}\n`);
  const problems = files.flatMap(({ problem }) => (problem === null ? [] : [problem]));
  if (unusable) problems.push('of a file no row was usable; the reasons stand above');
  for (const problem of problems) io.stderr.write(`${complaint(problem)}\n`);
  return problems.length > 0 ? exitStatus.input : exitStatus.done;
}

/** `taken   north.csv: 1,200 rows, 1,200 new` */
function fateOf({ name, outcome, report, rowsNew, rowsChanged, resumedAtRow }: IngestedFile): string {
  const shown = printable(name, 120);
  if (outcome === 'known') return `known   ${shown}: its content was taken before, nothing changed`;
  if (outcome === 'busy') return `busy    ${shown}: another process takes it at the moment`;
  const parts = [count(report.rowsRead, 'row'), `${whole(rowsNew)} new`];
  if (rowsChanged > 0) parts.push(`${whole(rowsChanged)} corrected`);
  if (report.rowsRejected > 0) parts.push(`${whole(report.rowsRejected)} rejected`);
  if (resumedAtRow > 0) parts.push(`${whole(resumedAtRow)} stored by an earlier run`);
  return `${outcome === 'taken' ? 'taken ' : 'broken'}  ${shown}: ${parts.join(', ')}`;
}
