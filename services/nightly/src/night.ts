/** One night with everything wired up: settings in, an exit status out. What a person reads goes to `stdout`, the log to `log`. */
import { existsSync } from 'node:fs';
import { analyseDirty } from '@gearhold/operations/analysis';
import { type MailPlace, mailPlace, readRecipients, sendDigests } from '@gearhold/operations/digest';
import { driversOf } from '@gearhold/operations/intake';
import { type NightWatcher, nightLines, planLines, planNight, runNight } from '@gearhold/operations/nightly';
import { readStatementFiles, type StatementFiles } from '@gearhold/operations/statement-files';
import { withStore } from '@gearhold/operations/store-place';
import { type ExitStatus, exitStatus } from '@gearhold/shared';
import type { Clock, Logger } from '@gearhold/shared/service';
import type { Engine } from '@gearhold/store';
import type { NightlySettings } from './options.ts';

export interface NightIo {
  readonly stdout: NodeJS.WritableStream;
  readonly log: Logger;
  readonly clock: Clock;
}

/** @throws Failure with a sentence and the status to exit with */
export async function night(settings: NightlySettings, io: NightIo): Promise<ExitStatus> {
  const given = await readGiven(settings);
  if (settings.dryRun) return plan(settings, io);
  return withStore(settings.place, io.clock.now(), (engine) => nightOn(engine, settings, given, io));
}

/** What the night reads before it touches anything, so that a mistake in any of it costs nothing. */
export interface Given {
  readonly files: StatementFiles;
  /** null: nobody gets a digest. */
  readonly recipients: Awaited<ReturnType<typeof readRecipients>> | null;
  readonly mail: MailPlace;
}

/** @throws Failure of status 2 */
export async function readGiven({ statements, recipients, environment }: NightlySettings): Promise<Given> {
  return {
    files: await readStatementFiles(statements),
    recipients: recipients === null ? null : await readRecipients(recipients),
    mail: mailPlace(environment),
  };
}

/** The same on a store that is open already. */
export async function nightOn(
  engine: Engine,
  settings: NightlySettings,
  { files, recipients, mail }: Given,
  { stdout, log, clock }: NightIo,
): Promise<ExitStatus> {
  const { engine: name, version, timescale, place } = await engine.describe();
  const { windows } = settings;
  log.info({ store: { engine: name, version, timescale, place }, windows }, 'night begins');
  const { mapping, mappingId, ...statements } = files;
  const { keepDays, keepEvidenceDays } = settings;
  const outcome = await runNight(engine, {
    windows,
    inbox: settings.inbox,
    files: settings.files,
    statements: { ...statements, policyFromMs: settings.policyFromMs },
    kept: await driversOf(engine, settings.drivers, clock.now()),
    intake: { format: settings.format, mapping, mappingId, lateMs: settings.lateMs },
    retention: { keepDays, keepEvidenceDays },
    now: () => clock.now(),
    watcher: watcherOf(log),
    steps: {
      analyse: async ({ signal, lateBeforeMs }) => {
        const { vehicles, episodes } = await analyseDirty(engine, {
          zone: windows[0]!.zone,
          nowMs: clock.now(),
          lateBeforeMs,
          signal,
          onVehicle: ({ vehicleId, rows }) => log.debug({ vehicleId, rows }, 'vehicle analysed'),
        });
        signal.throwIfAborted();
        const { added, changed, returned, withdrawn } = episodes;
        return { vehicles, added, changed: changed + returned, withdrawn };
      },
      digest: async (window) => {
        if (recipients === null) return [];
        const { courier, from, consoleUrl } = mail;
        const options = { recipients, courier, from, consoleUrl, now: () => clock.now() };
        const outcomes = await sendDigests(engine, window, options);
        const path = mail.written ? mail.where : null;
        return outcomes.map((outcome) => (outcome.state === 'before' ? { ...outcome, path } : outcome));
      },
    },
  });
  for (const { code, sentence } of outcome.attention) log.warn({ code }, sentence);
  log.info({ attention: outcome.attention.map(({ code }) => code) }, 'night ends');
  stdout.write(`${nightLines(outcome).join('\n')}\n`);
  return outcome.attention.length > 0 ? exitStatus.attention : exitStatus.done;
}

/** Where there is no embedded store yet none is made: everything would be new. */
async function plan({ place, ...settings }: NightlySettings, { stdout, clock }: NightIo): Promise<ExitStatus> {
  const nowMs = clock.now();
  const isThere = place.databaseUrl !== undefined || existsSync(place.folder);
  const planned = isThere
    ? await withStore(place, nowMs, (engine) => planNight(engine, settings, nowMs))
    : await planNight(null, settings, nowMs);
  stdout.write(`${planLines(planned).join('\n')}\n`);
  return exitStatus.done;
}

function watcherOf(log: Logger): NightWatcher {
  return {
    step: (step) => log.info({ step }, 'step begins'),
    file: ({ name, sha256, outcome, report, rowsNew, rowsChanged, problem }) => {
      const { rowsRead, rowsRejected } = report;
      log.info({ file: name, sha256, outcome, rowsRead, rowsRejected, rowsNew, rowsChanged, problem }, 'file');
    },
  };
}
