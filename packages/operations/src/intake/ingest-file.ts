/**
 * One file into the store. What makes it safe to be killed anywhere: rows, rejects and the position in the file are written in one
 * transaction, the position counts rows and rejects of a sequence that the file's bytes and the options determine, and the file is
 * known by the hash of its content. Started again it reads from the beginning, lets go of what the position says is stored, and
 * goes on. A file that was taken whole changes nothing when it comes again under any name.
 */
import { createHash } from 'node:crypto';
import { createReadStream, statSync } from 'node:fs';
import { exitStatus, Failure } from '@gearhold/shared';
import {
  formatOfName,
  type InputFormat,
  IntakeReport,
  type Mapping,
  type ReadingBatch,
  type Reject,
} from '@gearhold/signals';
import {
  beginInputFile,
  type Engine,
  failInputFile,
  finishInputFile,
  inputFile,
  noteFileProgress,
  registerInputFile,
  type StoredReject,
  storeRejects,
  type Transaction,
  upsertReadings,
} from '@gearhold/store';
import { contentOf, stampOf } from './content.ts';
import type { DriverMode } from './drivers-kept.ts';
import { orderedRows, withoutFirst } from './ordered-rows.ts';

/** Rejects that wait for the next batch of rows before they are written by themselves. */
const pendingRejectsMax = 2000;

export interface IngestFileOptions {
  readonly path: string;
  /** As it stands in sentences and in the store. Defaults to the path. */
  readonly name?: string;
  /** null: told from the path. */
  readonly format: InputFormat | null;
  readonly mapping: Mapping;
  /** What the file is known by, from the SHA-256 of its bytes; that itself unless given. Under another profile the same bytes say other things. */
  readonly identity?: (sha256: string) => string;
  /** Tells one mapping from another: an interrupted file is read anew under another one. */
  readonly mappingId: string;
  readonly lateMs: number;
  readonly drivers: DriverMode;
  readonly driver: (driverId: string | null) => string | null;
  /** Whether a file that failed before is tried again. */
  readonly retryFailed: boolean;
  /** ms since the epoch. */
  readonly now: () => number;
  /** Told of bytes as they are read, and of rows read so far. */
  readonly onBytes?: (count: number) => void;
  readonly onRows?: (count: number) => void;
  /** Rows a transaction, and rejects that may wait for one; for tests. */
  readonly batchRows?: number;
}

export interface IngestedFile {
  readonly name: string;
  readonly sha256: string;
  /** `known`: it was taken (or failed) before, nothing was done; `busy`: another process takes it at the moment. */
  readonly outcome: 'taken' | 'known' | 'failed' | 'busy';
  /** Counts of the whole file, also where it was taken up in the middle; of a known file all zero. */
  readonly report: IntakeReport;
  readonly rowsNew: number;
  readonly rowsChanged: number;
  /** Rows that an interrupted load had stored already. */
  readonly resumedAtRow: number;
  /** Why it failed, a sentence; null where it did not. */
  readonly problem: string | null;
}

interface Position {
  /** Rows handed to the store. */
  readonly rows: number;
  readonly rejects: number;
  /** Under which options the two were counted. */
  readonly under: string;
}

/** @throws Failure of status 2 for a format that cannot be told, 3 where the file cannot be read; StoreError */
export async function ingestFile(engine: Engine, options: IngestFileOptions): Promise<IngestedFile> {
  const { path, name = path, now } = options;
  const format = options.format ?? formatOfName(path).format;
  if (format === null) {
    const sentence = `the format of ${name} cannot be told from its name: expected .csv, .ndjson, .jsonl or .json, each also with .gz, or the option --format.`;
    throw new Failure(exitStatus.usage, sentence);
  }
  const stamp = await stampOf(path);
  const { sha256: content, bytes } = await contentOf(path);
  const sha256 = options.identity?.(content) ?? content;
  const known = { name, sha256, report: new IntakeReport(), rowsNew: 0, rowsChanged: 0, resumedAtRow: 0 } as const;
  const file = await registerInputFile(engine, { sha256, name, bytes }, now());
  if (file.state === 'done') return { ...known, outcome: 'known', problem: null };
  if (file.state === 'failed' && !options.retryFailed) return { ...known, outcome: 'known', problem: file.problem };
  const lock = await engine.tryLock(`file ${sha256}`);
  if (lock === null) return { ...known, outcome: 'busy', problem: null };
  try {
    await beginInputFile(engine, sha256, now());
    const under = optionsId(options, format);
    const load = new Load(engine, sha256, positionOf(file.resume, under), options);
    const resumedAtRow = load.position.rows;
    const { report } = load;
    const source = load.interleaved(createReadStream(path, { highWaterMark: 256 * 1024 }), options.onBytes);
    const { mapping, lateMs, driver } = options;
    const gzip = formatOfName(path).gzip;
    const size = options.batchRows === undefined ? {} : { batchRows: options.batchRows };
    const rows = { fileName: name, format, gzip, mapping, lateMs, report, driver, onReject: load.onReject, ...size };
    for await (const batch of orderedRows(source, rows)) {
      lock.lost.throwIfAborted();
      await load.store(batch);
      options.onRows?.(report.rowsRead);
    }
    options.onRows?.(report.rowsRead);
    load.refuseBroken();
    await load.storeRejects();
    const changed = (await stampOf(path)) !== stamp;
    const problem = changed
      ? `${name} was written to while it was read: put files into place by renaming, then start again`
      : (report.unreadable[0]?.message ?? null);
    if (problem === null) await finishInputFile(engine, sha256, now());
    else await failInputFile(engine, sha256, problem, now());
    const { rowsNew, rowsChanged } = load;
    return {
      ...known,
      outcome: problem === null ? 'taken' : 'failed',
      report,
      rowsNew,
      rowsChanged,
      resumedAtRow,
      problem,
    };
  } finally {
    await lock.release();
  }
}

/** The rows and rejects of one file on their way into the store, and how far they are. */
class Load {
  readonly report = new IntakeReport();
  rowsNew = 0;
  rowsChanged = 0;
  position: Position;
  readonly #engine: Engine;
  readonly #sha256: string;
  readonly #keepsText: boolean;
  readonly #pendingMax: number;
  /** What the store had when we began: let go of as it is read again. */
  readonly #stored: Position;
  #rowsSeen = 0;
  #rejectsSeen = 0;
  #pending: StoredReject[] = [];
  /** Of the store, while bytes were waited for. */
  #failure: unknown = null;

  constructor(engine: Engine, sha256: string, stored: Position, { drivers, batchRows }: IngestFileOptions) {
    this.#engine = engine;
    this.#keepsText = drivers === 'named';
    this.#pendingMax = batchRows ?? pendingRejectsMax;
    this.#sha256 = sha256;
    this.#stored = stored;
    this.position = stored;
  }

  /** A reject's row may name its driver: where names are not kept, neither is its text. */
  readonly onReject = ({ line, reason, text, cut }: Reject): void => {
    const position = this.#rejectsSeen++;
    if (position < this.#stored.rejects) return;
    this.#pending.push({ position, line, reason, ...(this.#keepsText ? { text, cut } : { text: '', cut: true }) });
  };

  /** The bytes, with many rejects written away between two pieces: a file may be nothing but rejects. */
  async *interleaved(
    pieces: AsyncIterable<Uint8Array>,
    onBytes: (count: number) => void = () => {},
  ): AsyncGenerator<Uint8Array> {
    for await (const piece of pieces) {
      onBytes(piece.length);
      yield piece;
      if (this.#pending.length <= this.#pendingMax) continue;
      try {
        await this.storeRejects();
      } catch (error) {
        // Thrown from here it would pass for a fault of the file.
        this.#failure = error;
        return;
      }
    }
  }

  /**
   * A fault of the disk or the store is none of the file's. What was read before it is not the beginning of the sequence that the
   * whole file gives, so none of it may be stored: the run ends, and the file is taken up again by the next one.
   *
   * @throws Failure of status 3, or what the store threw
   */
  refuseBroken(): void {
    if (this.#failure !== null) throw this.#failure;
    const broken = this.report.unreadable.find(({ code }) => code === 'system');
    if (broken !== undefined) throw new Failure(exitStatus.input, broken.message);
  }

  /** Stores a batch, or what of it is not stored yet, and moves the position on. */
  async store(batch: ReadingBatch): Promise<void> {
    this.refuseBroken();
    const before = this.#rowsSeen;
    this.#rowsSeen += batch.length;
    if (this.#rowsSeen <= this.#stored.rows) return;
    const rest = before < this.#stored.rows ? withoutFirst(batch, this.#stored.rows - before) : batch;
    await this.#write(rest);
  }

  async storeRejects(): Promise<void> {
    await this.#write(null);
  }

  async #write(batch: ReadingBatch | null): Promise<void> {
    const rejects = this.#pending;
    const next = {
      rows: this.position.rows + (batch?.length ?? 0),
      rejects: this.position.rejects + rejects.length,
      under: this.position.under,
    };
    const work = async (transaction: Transaction) => {
      // Where the connection broke at the commit, the first try may have been stored.
      const now = positionOf((await inputFile(transaction, this.#sha256))!.resume, next.under);
      if (now.rows === next.rows && now.rejects === next.rejects && (batch !== null || rejects.length > 0)) return null;
      const stored = batch === null ? { rowsNew: 0, rowsChanged: 0 } : await upsertReadings(transaction, batch);
      await storeRejects(transaction, this.#sha256, rejects);
      const { rowsRead, rowsAccepted, rowsRejected } = this.report;
      const { rowsNew, rowsChanged } = stored;
      const figures = { rowsRead, rowsAccepted, rowsRejected, rowsNew, rowsChanged, counts: countsOf(this.report) };
      await noteFileProgress(transaction, this.#sha256, { resume: JSON.stringify(next), ...figures });
      return stored;
    };
    const stored = await this.#engine.transaction(work, { repeatable: true });
    this.rowsNew += stored?.rowsNew ?? 0;
    this.rowsChanged += stored?.rowsChanged ?? 0;
    this.position = next;
    this.#pending = [];
  }
}

function positionOf(resume: string | null, under: string): Position {
  const stored = resume === null ? null : (JSON.parse(resume) as Position);
  return stored?.under === under ? stored : { rows: 0, rejects: 0, under };
}

/** The options that determine the sequence of rows. */
function optionsId({ mappingId, lateMs, drivers }: IngestFileOptions, format: InputFormat): string {
  return createHash('sha256')
    .update(JSON.stringify([format, mappingId, lateMs, drivers]))
    .digest('hex')
    .slice(0, 16);
}

function countsOf(report: IntakeReport): string {
  return JSON.stringify({
    rejected: Object.fromEntries(Object.entries(report.rejected).filter(([, count]) => count > 0)),
    unusableCells: report.unusableBySignal,
    unusableDriverIds: report.unusableDriverIds,
    duplicates: report.duplicates,
    conflicts: report.conflicts,
    unknownColumns: [...report.unknownColumns],
    unknownChannels: [...report.unknownChannels],
  });
}

/** Bytes on the disk, for progress; null where not known. */
export function sizeOnDisk(path: string): number | null {
  return statSync(path, { throwIfNoEntry: false })?.size ?? null;
}
