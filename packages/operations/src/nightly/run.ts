/**
 * A night: files are taken, what they touch is analysed anew, old readings are pruned, the day's digests go out. Each step writes in
 * transactions that are whole by themselves and begins with what is left to do, so a run that was killed anywhere is simply started
 * again, and a second run of a night finds nothing to do. One run at a time, by a lock of the store.
 *
 * An episode belongs to the day of its load transfer. The analysis reads all that is stored, past the day's end too, so that what
 * began before midnight is closed.
 */
import { exitStatus, Failure } from '@gearhold/shared';
import type { Engine, HeldLock } from '@gearhold/store';
import type { DayWindow } from '../day/window.ts';
import type { DigestOutcome } from '../digest/index.ts';
import { type IngestedFile, type IngestFileOptions, ingestFile } from '../intake/ingest-file.ts';
import { type DriversAsKept, type Statements, storeStatements } from '../intake/statements.ts';
import { attentionOf } from './attention.ts';
import { dayFigures } from './day-figures.ts';
import { readInbox } from './inbox.ts';
import { noteToldOf, toldUntilMs } from './last-day.ts';
import type { AnalysisTally, DayOutcome, NightOutcome } from './outcome.ts';
import { prune, type Retention } from './retention.ts';

/** Name of the lock: one nightly run a store. */
const nightlyLock = 'nightly';

export type NightStep = 'statements' | 'files' | 'analysis' | 'retention' | 'digest';

export interface NightWatcher {
  step?(step: NightStep): void;
  file?(file: IngestedFile): void;
}

export interface NightOptions {
  /** In order; at least one. */
  readonly windows: readonly DayWindow[];
  readonly inbox: string | null;
  /** Taken besides the inbox, at rest or not. */
  readonly files: readonly string[];
  readonly statements: Statements;
  readonly kept: DriversAsKept;
  readonly intake: Pick<IngestFileOptions, 'format' | 'mapping' | 'mappingId' | 'lateMs'>;
  readonly now: () => number;
  readonly retention: Retention;
  readonly steps: NightSteps;
  readonly watcher?: NightWatcher;
}

/** What other parts of the house do in a night. */
export interface NightSteps {
  /**
   * Analyses every vehicle that is due; stops between two vehicles where the signal says so. What is found of a load transfer before
   * `lateBeforeMs` belongs to a day that was told of already.
   */
  analyse(options: { readonly signal: AbortSignal; readonly lateBeforeMs: number }): Promise<AnalysisTally>;
  /** Sends or writes what has not gone out yet. */
  digest(window: DayWindow): Promise<readonly DigestOutcome[]>;
}

/** @throws Failure of status 11 where another run holds the lock; whatever a step throws, with nothing half-written */
export async function runNight(engine: Engine, options: NightOptions): Promise<NightOutcome> {
  const lock = await engine.tryLock(nightlyLock);
  if (lock === null) {
    const sentence =
      'another nightly run holds the lock of this store: nothing was done; this one may be started again when it ends.';
    throw new Failure(exitStatus.locked, sentence);
  }
  try {
    return await lockedNight(engine, lock, options);
  } finally {
    await lock.release();
  }
}

async function lockedNight(engine: Engine, lock: HeldLock, options: NightOptions): Promise<NightOutcome> {
  const { steps, watcher, now } = options;
  const begin = (step: NightStep) => {
    lock.lost.throwIfAborted();
    watcher?.step?.(step);
  };
  begin('statements');
  await storeStatements(engine, options.statements, options.kept, now());

  begin('files');
  const inbox = options.inbox === null ? null : await readInbox(options.inbox, now());
  const files: IngestedFile[] = [];
  for (const path of [...options.files, ...(inbox?.ready ?? [])]) {
    lock.lost.throwIfAborted();
    const file = await ingestFile(engine, {
      ...options.intake,
      path,
      drivers: options.kept.mode,
      driver: options.kept.driver,
      retryFailed: false,
      now,
    });
    files.push(file);
    watcher?.file?.(file);
  }

  begin('analysis');
  const analysis = await steps.analyse({ signal: lock.lost, lateBeforeMs: await toldUntilMs(engine) });
  begin('retention');
  const pruned = await prune(engine, options.retention, now());
  const days: DayOutcome[] = [];
  for (const window of options.windows) {
    begin('digest');
    days.push({ window, ...(await dayFigures(engine, window)), digests: await steps.digest(window) });
    // Of a day that is not over more is to come, and none of it late.
    if (window.endMs <= now()) await noteToldOf(engine, window, now());
  }
  const unsettled = inbox?.unsettled ?? [];
  const outcome = { files, unsettled, analysis, days, pruned };
  return { ...outcome, attention: attentionOf(outcome, inbox?.unknown ?? []) };
}
