/**
 * What a night is asked to do, from the command line or the environment: a timer's unit file sets variables, a person types options,
 * and an option wins. Everything a person can get wrong here is told before anything is touched.
 */
import { type DayWindow, dayAfter, dayOf, daysFrom, dayWindow, isDay } from '@gearhold/operations/day';
import { type DriverMode, driverModes } from '@gearhold/operations/intake';
import type { StatementPaths } from '@gearhold/operations/statement-files';
import { defaultStoreFolder, type StorePlace } from '@gearhold/operations/store-place';
import { exitStatus, Failure } from '@gearhold/shared';
import { type LogLevel, logLevels } from '@gearhold/shared/service';
import { type InputFormat, inputFormats, isZone } from '@gearhold/signals';
import { Command, InvalidArgumentError, Option } from 'commander';

export interface NightlySettings {
  readonly windows: readonly DayWindow[];
  readonly inbox: string | null;
  readonly files: readonly string[];
  readonly place: StorePlace;
  readonly statements: StatementPaths;
  readonly policyFromMs: number | undefined;
  readonly drivers: DriverMode | undefined;
  readonly format: InputFormat | null;
  readonly lateMs: number;
  /** The recipients file; null: nobody gets a digest. */
  readonly recipients: string | null;
  /** Readings of so many days are kept; null: for ever. */
  readonly keepDays: number | null;
  /** Evidence of episodes of so many days is kept; null: for ever. */
  readonly keepEvidenceDays: number | null;
  readonly dryRun: boolean;
  /** For what is configured by variables alone: the mail server. */
  readonly environment: Readonly<Record<string, string | undefined>>;
  readonly logLevel: LogLevel;
}

interface Parsed {
  readonly day?: string;
  readonly from?: string;
  readonly to?: string;
  readonly zone?: string;
  readonly inbox?: string;
  readonly store: string;
  readonly vehicles?: string;
  readonly sites?: string;
  readonly policy?: string;
  readonly policyFrom?: string;
  readonly driversFile?: string;
  readonly drivers?: DriverMode;
  readonly profile?: string;
  readonly format?: InputFormat;
  readonly lateSeconds: number;
  readonly recipients?: string;
  readonly keepDays?: number;
  readonly keepEvidenceDays?: number;
  readonly dryRun: boolean;
  readonly log: LogLevel;
}

/** The command with its options; `run` is called with what was asked. */
export function nightlyCommand(
  run: (settings: NightlySettings) => Promise<void>,
  environment: Readonly<Record<string, string | undefined>>,
  nowMs: number,
): Command {
  return new Command('gearhold nightly')
    .summary('a day of the fleet: files in, analysis, digest')
    .description(
      'Takes the files of the inbox into the store, analyses what is new, prunes what is old, and sends the digest of a day.\nStarted again it goes on; a second run of a night finds nothing to do.',
    )
    .argument('[file...]', 'files to take besides those of the inbox')
    .option('--day <day>', 'the day, as 2026-03-02; yesterday in the zone where left out', day)
    .option('--from <day>', 'the first of several days', day)
    .option('--to <day>', 'the last of several days', day)
    .addOption(
      new Option('--zone <zone>', "the fleet's own zone, such as America/Chicago").env('GEARHOLD_ZONE').argParser(zone),
    )
    .addOption(
      new Option('--inbox <folder>', 'folder that files are put into; each is taken once').env('GEARHOLD_INBOX'),
    )
    .addOption(
      new Option('--store <folder>', 'folder of the embedded store').env('GEARHOLD_STORE').default(defaultStoreFolder),
    )
    .addOption(new Option('--vehicles <file>', 'what is known of the trucks').env('GEARHOLD_VEHICLES'))
    .addOption(new Option('--sites <file>', 'the places').env('GEARHOLD_SITES'))
    .addOption(new Option('--policy <file>', 'what the procedure asks').env('GEARHOLD_POLICY'))
    .option('--policy-from <day>', 'from when that policy holds; from now on where another one did', day)
    .addOption(
      new Option('--drivers-file <file>', 'drivers: driverId, name, terminal, from, to').env('GEARHOLD_DRIVERS_FILE'),
    )
    .addOption(
      new Option('--drivers <mode>', 'what is kept of who drove; as before where left out')
        .env('GEARHOLD_DRIVERS')
        .choices(driverModes),
    )
    .addOption(
      new Option('--profile <file>', "source profile of somebody else's columns and units").env('GEARHOLD_PROFILE'),
    )
    .addOption(new Option('--format <format>', 'format of every file, whatever its name says').choices(inputFormats))
    .option('--late-seconds <n>', 'how late rows of a vehicle may come within a file, in seconds', wholeNumber, 30)
    .addOption(
      new Option('--recipients <file>', 'who gets the digest, and which part of it').env('GEARHOLD_RECIPIENTS'),
    )
    .addOption(
      new Option('--keep-days <n>', 'prune readings older than this; for ever where left out')
        .env('GEARHOLD_KEEP_DAYS')
        .argParser(wholeNumber),
    )
    .addOption(
      new Option('--keep-evidence-days <n>', 'prune the evidence of episodes older than this')
        .env('GEARHOLD_KEEP_EVIDENCE_DAYS')
        .argParser(wholeNumber),
    )
    .option('--dry-run', 'say what would be done, and do nothing', false)
    .addOption(
      new Option('--log <level>', 'least level of the log').env('GEARHOLD_LOG').choices(logLevels).default('info'),
    )
    .addHelpText('after', nightlyHelp)
    .action((files: string[], parsed: Parsed) => run(settingsOf(files, parsed, environment, nowMs)));
}

/** @throws Failure of status 2 */
function settingsOf(
  files: readonly string[],
  parsed: Parsed,
  environment: Readonly<Record<string, string | undefined>>,
  nowMs: number,
): NightlySettings {
  if (parsed.zone === undefined)
    throw new Failure(
      exitStatus.usage,
      'the zone is missing: expected --zone or GEARHOLD_ZONE, such as America/Chicago.',
    );
  if (parsed.inbox === undefined && files.length === 0 && !parsed.dryRun) {
    const sentence = 'there is nothing to take: expected --inbox FOLDER (or GEARHOLD_INBOX), or files.';
    throw new Failure(exitStatus.usage, sentence);
  }
  const days = daysOf(parsed, dayAfter(dayOf(nowMs, parsed.zone), -1));
  const windows = days.map((day) => dayWindow(day, parsed.zone!));
  const { keepDays = null, keepEvidenceDays = null } = parsed;
  return {
    windows,
    inbox: parsed.inbox ?? null,
    files,
    place: { databaseUrl: environment.DATABASE_URL, folder: parsed.store },
    statements: parsed,
    policyFromMs: parsed.policyFrom === undefined ? undefined : dayWindow(parsed.policyFrom, parsed.zone).startMs,
    drivers: parsed.drivers,
    format: parsed.format ?? null,
    lateMs: parsed.lateSeconds * 1000,
    recipients: parsed.recipients ?? null,
    keepDays,
    keepEvidenceDays,
    dryRun: parsed.dryRun,
    environment,
    logLevel: parsed.log,
  };
}

function daysOf({ day, from, to }: Parsed, yesterday: string): string[] {
  if (day !== undefined && (from !== undefined || to !== undefined))
    throw new Failure(exitStatus.usage, '--day and --from or --to exclude each other: expected one day, or both ends.');
  if ((from === undefined) !== (to === undefined))
    throw new Failure(exitStatus.usage, 'of --from and --to one is missing: expected both ends, or --day.');
  if (from === undefined || to === undefined) return [day ?? yesterday];
  const days = daysFrom(from, to);
  if (days.length === 0)
    throw new Failure(exitStatus.usage, `--to ${to} lies before --from ${from}: expected a later day.`);
  return days;
}

function day(text: string): string {
  if (!isDay(text)) throw new InvalidArgumentError('Expected a day of the calendar, as 2026-03-02.');
  return text;
}

function zone(text: string): string {
  if (!isZone(text)) throw new InvalidArgumentError('Expected an IANA time zone, such as America/Chicago.');
  return text;
}

function wholeNumber(text: string): number {
  if (!/^\d{1,6}$/.test(text)) throw new InvalidArgumentError('Expected a whole number, 0 or more.');
  return Number(text);
}

const nightlyHelp = `
Environment
  GEARHOLD_ZONE, GEARHOLD_INBOX, GEARHOLD_STORE and so on stand for the options of the same names. DATABASE_URL names a
  PostgreSQL server to use instead of the embedded store. GEARHOLD_SMTP_HOST names the mail server (README.md lists what goes
  with it); without it each mail is written to a file in GEARHOLD_MAIL_FOLDER, whose path is printed.

Exit status
   0  done
  10  done, and somebody should look: rejected rows, silent trucks, no readings, a mail in doubt; the summary says which
  11  another run holds the lock; nothing was done
   2  an option or a companion file cannot be used
   1  failed; nothing is half-written, start it again

Examples
  gearhold nightly --day 2026-03-02 --zone America/Chicago --inbox /srv/readings --recipients recipients.json
  gearhold nightly --from 2026-03-01 --to 2026-03-07 --zone America/Chicago --inbox /srv/readings
  gearhold nightly --zone America/Chicago --inbox /srv/readings --dry-run
`;
