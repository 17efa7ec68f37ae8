/**
 * What `analyze`, `report` and `field-check` share: companion files, input files, the rejects file, progress, the analysis itself and
 * the closing summary. A job is prepared (whatever a person got wrong ends here, before a byte is read), run, and closed.
 */
import { realpathSync, statSync } from 'node:fs';
import { resolve } from 'node:path';
import type { Readable } from 'node:stream';
import { complaint } from '@gearhold/look';
import {
  type Companions,
  formatOfBytes,
  type InputFile,
  inputFiles,
  readCompanions,
} from '@gearhold/operations/inputs';
import { AtomicFile, type ExitStatus, exitStatus, Failure } from '@gearhold/shared';
import { type InputFormat, type Reject, readReadings } from '@gearhold/signals';
import { type Analysis, type AnalysisWatcher, analyse, type Source } from './analysis.ts';
import { buildEngine, type Engine } from './engine.ts';
import { type Progress, showProgress, type TerminalStream } from './progress.ts';
import { summaryLines } from './summary.ts';

/** The streams of the process, or a test's. */
export interface Io {
  readonly stdin: Readable;
  readonly stdout: NodeJS.WritableStream & { readonly columns?: number; readonly isTTY?: boolean };
  readonly stderr: TerminalStream;
}

/** Options as they stand on the command line. */
export interface JobOptions {
  readonly policy?: string;
  readonly vehicles?: string;
  readonly sites?: string;
  readonly profile?: string;
  readonly lateSeconds: number;
  readonly kinds: 'main' | 'all';
  readonly format?: InputFormat;
  readonly rejects?: string;
  readonly work?: string;
}

/** What a command may bring to the run, besides what it does with each episode. */
export interface RunOptions {
  readonly engine?: Engine;
  readonly onReadings?: AnalysisWatcher['readings'];
}

export class Job {
  readonly companions: Companions;
  readonly #files: readonly InputFile[];
  readonly #options: JobOptions;
  readonly #io: Io;
  readonly #rejects: AtomicFile | null;

  /** Reads the companion files and opens the rejects file. @throws Failure of status 2 */
  static async prepare(
    names: readonly string[],
    options: JobOptions,
    io: Io,
    out: string | null,
    /** Other files that the command reads: no output may replace them. */
    alsoRead: readonly string[] = [],
  ): Promise<Job> {
    const files = inputFiles(names, options.format ?? null, io.stdin);
    refuseOverwriting(
      [
        ['--out', out],
        ['--rejects', options.rejects ?? null],
      ],
      [...names, ...alsoRead, options.policy, options.vehicles, options.sites, options.profile, options.work],
    );
    const companions = await readCompanions(options);
    const rejects = options.rejects === undefined ? null : new AtomicFile(options.rejects, 'rejects file');
    return new Job(files, companions, options, io, rejects);
  }

  private constructor(
    files: readonly InputFile[],
    companions: Companions,
    options: JobOptions,
    io: Io,
    rejects: AtomicFile | null,
  ) {
    this.#files = files;
    this.companions = companions;
    this.#options = options;
    this.#io = io;
    this.#rejects = rejects;
  }

  /** Reads the input to its end. */
  async run(
    onEpisode: AnalysisWatcher['episode'],
    { engine = buildEngine(this.companions), onReadings }: RunOptions = {},
  ): Promise<Analysis> {
    const progress = showProgress(this.#io.stderr, totalSize(this.#files));
    try {
      const watcher: AnalysisWatcher = {
        episode: onEpisode,
        rows: progress.rows,
        source: progress.file,
        ...(onReadings && { readings: onReadings }),
      };
      const sources = this.#files.map((file) => this.#source(file, progress));
      const options = { lateMs: this.#options.lateSeconds * 1000, kinds: this.#options.kinds };
      return await analyse(sources, engine, options, watcher);
    } finally {
      progress.stop();
    }
  }

  /** Leaves no half of a rejects file; nothing after {@link close}. */
  abandon(): void {
    this.#rejects?.abandon();
  }

  /** After the output is written: the rejects file, the summary and what the exit status says. */
  close(analysis: Analysis, seconds: number): ExitStatus {
    this.#rejects?.commit();
    const { intake } = analysis;
    const lines = summaryLines(intake, analysis.found, { files: this.#files.length, seconds });
    for (const failure of intake.unreadable) lines.push(complaint(failure.message));
    const unusable = intake.rowsRead > 0 && intake.rowsAccepted === 0;
    if (unusable) lines.push(complaint('no row of the input was usable; the reasons stand above'));
    this.#io.stderr.write(`${lines.join('\n')}\n`);
    return unusable || intake.unreadable.length > 0 ? exitStatus.input : exitStatus.done;
  }

  #source(file: InputFile, progress: Progress): Source {
    const { mapping } = this.companions;
    const lateMs = this.#options.lateSeconds * 1000;
    const onReject = this.#rejects === null ? undefined : (reject: Reject) => this.#keep(reject);
    return {
      name: file.name,
      read: async function* (report, fileIndex) {
        const opened = file.open(progress.bytes);
        const { format, bytes } =
          file.format === null ? await formatOfBytes(opened) : { format: file.format, bytes: opened };
        const rows = { fileName: file.name, fileIndex, report, onReject, lateMs };
        yield* readReadings(bytes, { ...rows, format, gzip: file.gzip, mapping, unreadable: 'end' });
      },
    };
  }

  #keep(reject: Reject): void {
    const { fileName, line, reason, text, cut } = reject;
    const kept = { file: fileName, line, reason, row: text, ...(cut ? { cut } : {}) };
    this.#rejects!.write(`${JSON.stringify(kept)}\n`);
  }
}

function totalSize(files: readonly InputFile[]): number | null {
  let total = 0;
  for (const { size } of files) {
    if (size === null) return null;
    total += size;
  }
  return total;
}

/** Refuses an output that would replace an input, or another output. @throws Failure of status 2 */
function refuseOverwriting(
  outputs: readonly (readonly [option: string, path: string | null])[],
  inputs: readonly (string | undefined)[],
): void {
  const taken = new Map<string, string>();
  for (const path of inputs) if (path !== undefined) taken.set(place(path), path);
  for (const [option, path] of outputs) {
    if (path === null || isDevice(path)) continue;
    const other = taken.get(place(path));
    if (other !== undefined) {
      throw new Failure(exitStatus.usage, `${option} ${path} would overwrite ${other}: expected another name.`);
    }
    taken.set(place(path), `what ${option} writes`);
  }
}

function isDevice(path: string): boolean {
  const found = statSync(path, { throwIfNoEntry: false });
  return found !== undefined && !found.isFile() && !found.isDirectory();
}

/** One name for a file, however it is spelled. */
function place(path: string): string {
  try {
    return realpathSync(path);
  } catch {
    return resolve(path);
  }
}
