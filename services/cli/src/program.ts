/** The command line: commands, options and their help. What a person reads here has to be enough to work from. */

import { complaint } from '@gearhold/look';
import { type ExitStatus, exitStatus, Failure } from '@gearhold/shared';
import { inputFormats } from '@gearhold/signals';
import { Command, CommanderError, InvalidArgumentError, Option } from 'commander';
import { analyzeCommand } from './commands/analyze.ts';
import { levelsCommand } from './commands/levels.ts';
import { matchCommand } from './commands/match.ts';
import { policyShowCommand } from './commands/policy.ts';
import { reportCommand } from './commands/report.ts';
import type { Io } from './job.ts';
import { storeCommands } from './store-commands.ts';

/** Runs one command line (without the program's own name) and gives the exit status. */
export async function runProgram(args: readonly string[], io: Io): Promise<ExitStatus> {
  if (args[0] === 'nightly') return (await import('./commands/nightly.ts')).nightlyCommand(args.slice(1));
  let status: ExitStatus = exitStatus.done;
  const program = buildProgram(io, (ended) => {
    status = ended;
  });
  try {
    await program.parseAsync(args, { from: 'user' });
    return status;
  } catch (error) {
    if (error instanceof CommanderError) return error.exitCode === 0 ? exitStatus.done : exitStatus.usage;
    if (!(error instanceof Failure)) throw error;
    for (const sentence of error.message.split('\n')) io.stderr.write(`${complaint(sentence)}\n`);
    return error.status;
  }
}

function buildProgram(io: Io, ended: (status: ExitStatus) => void): Command {
  const program = new Command('gearhold')
    .description(
      'Works out couplings and uncouplings of semitrailers from truck readings, and what the data prove\nabout how each was done. Needs no database server, no network and no configuration.',
    )
    .addHelpText('after', programHelp);
  settle(program, io);

  const analyze = inputOptions(program.command('analyze'))
    .summary('readings in, episodes with their checks out, one JSON object a line')
    .description('Reads readings and prints every coupling and uncoupling as NDJSON, one episode a line.')
    .option('--out <file>', 'write the episodes there instead of standard output, whole or not at all')
    .addHelpText('after', analyzeHelp)
    .action(async (files: string[], options) => ended(await analyzeCommand(files, options, io)));

  const report = inputOptions(program.command('report'))
    .summary('the same result to read: one sentence and an evidence bar for each anomaly')
    .description('Analyses readings and prints the result for a person at a terminal.')
    .addOption(new Option('--units <units>', 'units of the sentences').choices(['metric', 'us']).default('metric'))
    .option('--ascii', 'draw with ASCII characters only', false)
    .option('--work <file>', workOption)
    .addOption(windowOption())
    .addHelpText('after', reportHelp)
    .action(async (files: string[], options) => ended(await reportCommand(files, options, io)));

  const fieldCheck = readingOptions(program.command('field-check'))
    .summary('what a person watched in the yard against the analysis of the same hours')
    .description('Compares a filled field sheet with the analysis, or makes an empty sheet to print and to type into.')
    .argument('[sheet]', 'filled sheet, CSV with the columns of --template')
    .argument('[readings...]', 'readings of the hours that were watched (.csv, .ndjson, .jsonl, .json, each also .gz)')
    .option('--sheet', 'make the sheet to print: HTML, two pages of A4 or Letter', false)
    .option('--template', 'make the CSV template: the header row to type a filled sheet under', false)
    .option('--out <file>', 'write there instead of standard output, whole or not at all')
    .option('--window <seconds>', 'how far the load transfer may lie from the watched times', seconds, 30)
    .option('--tolerance <seconds>', 'how far one press of the stopwatch may be off', seconds, 2)
    .addOption(new Option('--format <format>', 'format of the output').choices(['text', 'json']).default('text'))
    .option('--ascii', 'draw with ASCII characters only', false)
    .addHelpText('after', fieldCheckHelp)
    .action(async (sheet: string | undefined, files: string[], options) => {
      // Loaded only where it is asked for: no other command needs its sheets and statistics.
      const { fieldCheckCommand } = await import('./commands/field-check.ts');
      ended(await fieldCheckCommand(sheet, files, options, io));
    });
  const levels = readingsArgument(program.command('levels'))
    .summary('what was learned of each truck, what it reports, and which checks that leaves out')
    .description('Analyses readings and prints what is known of each truck: its levels, its sensors, its signals.')
    .addOption(new Option('--units <units>', 'units of the page').choices(['metric', 'us']).default('metric'))
    .option('--ascii', 'draw with ASCII characters only', false)
    .option('--ndjson', 'one JSON object a truck instead of the page', false)
    .addHelpText('after', levelsHelp)
    .action(async (files: string[], options) => ended(await levelsCommand(files, { ...options, kinds: 'all' }, io)));

  const match = readingsArgument(program.command('match'))
    .summary("dispatch's records against what was seen: what is found, and what is unmatched on either side")
    .description('Analyses readings and matches the couplings and uncouplings to the records of a work file.')
    .requiredOption('--work <file>', workOption)
    .addOption(windowOption())
    .option('--ascii', 'draw with ASCII characters only', false)
    .option('--ndjson', 'one JSON object a result instead of the page', false)
    .addHelpText('after', matchHelp)
    .action(async (files: string[], options) => ended(await matchCommand(files, { ...options, kinds: 'main' }, io)));

  const policy = program.command('policy').summary('the policy that episodes are judged by').description(policyWords);
  const show = policy
    .command('show')
    .summary('print the built-in policy')
    .description('Prints the built-in policy as a file to start from.')
    .addHelpText('after', policyShowHelp)
    .action(() => ended(policyShowCommand(io)));

  const stored = storeCommands(program, io, ended);
  for (const command of [analyze, report, levels, match, fieldCheck, policy, show, ...stored]) settle(command, io);
  return program;
}

/** Arguments and options of a command that gives episodes. */
function inputOptions(command: Command): Command {
  return readingsArgument(command).addOption(
    new Option('--kinds <kinds>', 'main: couplings and uncouplings; all: also failed attempts and loads lost')
      .choices(['main', 'all'])
      .default('main'),
  );
}

/** Arguments and options of a command that takes nothing but readings. */
function readingsArgument(command: Command): Command {
  return readingOptions(
    command.argument(
      '<file...>',
      'files of readings (.csv, .ndjson, .jsonl, .json, each also .gz); - is standard input',
    ),
  ).addOption(
    new Option('--format <format>', 'format of every input file, whatever its name says').choices(inputFormats),
  );
}

/** Options that every command has which reads readings. */
function readingOptions(command: Command): Command {
  return command
    .option('--policy <file>', 'policy file; without it the built-in policy holds')
    .option('--vehicles <file>', 'what is known of the trucks; what is not stated is learned')
    .option('--sites <file>', 'the places: circles or polygons, with zone, surface, slope')
    .option('--profile <file>', "source profile: somebody else's columns, units, times and codes")
    .option('--late-seconds <n>', 'how late rows of a vehicle may come within a file, in seconds', seconds, 30)
    .option('--rejects <file>', 'keep rejected rows there, whole, as NDJSON: file, line, reason, row');
}

const workOption = 'records of dispatch (.csv, .json, .ndjson): trailers taken and left';

function windowOption(): Option {
  return new Option('--window-minutes <n>', 'how far a record may lie from what was seen, in minutes')
    .argParser(minutes)
    .default(60);
}

/** Streams, colours and exits that a test can hold. */
function settle(command: Command, io: Io): void {
  command
    .exitOverride()
    .helpOption('-h, --help', 'show this help')
    .showHelpAfterError(false)
    .configureHelp({ helpWidth: 100 })
    .configureOutput({
      writeOut: (text) => io.stdout.write(text),
      writeErr: (text) => io.stderr.write(text),
      outputError: (text, write) =>
        write(
          `${complaint(
            text
              .replace(/^error: /, '')
              .trim()
              .replaceAll('\n', ' '),
          )}\n`,
        ),
    });
  if (command.parent !== null) command.helpCommand(false);
}

function seconds(text: string): number {
  const value = Number(text);
  if (text.trim() === '' || !(value >= 0) || value > 1e9)
    throw new InvalidArgumentError('Expected a number of seconds, 0 or more.');
  return value;
}

function minutes(text: string): number {
  const value = Number(text);
  if (text.trim() === '' || !(value > 0) || value > 1440)
    throw new InvalidArgumentError('Expected a number of minutes above 0, at most 1440.');
  return value;
}

const exitHelp = `
Exit status
  0  done
  2  an argument, or a policy, vehicles, sites, profile, work or sheet file, cannot be used; the message names the place
  3  the input could not be read to its end, or no row of it was usable; what was found is still printed
`;

const programHelp = `
Start with
  gearhold report readings.csv.gz              what was found, to read
  gearhold analyze readings.csv.gz             the same for a program, NDJSON
  gearhold levels readings.csv.gz              what was learned of each truck, and what it cannot show
  gearhold match --work work.csv readings.csv  what dispatch recorded beside what was seen
  gearhold ingest readings.csv.gz              readings into the store, where they are remembered
  gearhold nightly --day 2026-03-02 --zone America/Chicago --inbox folder    a day: files, analysis, digest
  gearhold anomalies --since 2026-03-02        what the store holds, by any filter
  gearhold policy show > policy.json           the built-in policy, to change and pass with --policy
  gearhold field-check --sheet --out sheet.html    a sheet to watch thirty by, before you act on any verdict

Data cannot show that a coupling is locked: only a person looking at the fifth wheel can.
`;

const inputHelp = `
What goes in
  A reading is one row: time (RFC 3339 with offset) and vehicleId, and any of the signals speedKph, gear,
  engineRpm, acceleratorPct, torquePct, parkingBrake, serviceBrake, clutch, suspensionKpa, suspensionDump,
  rideHeightMm, axleLoadKg, latitude, longitude, headingDeg, trailerLinked, driverLoggedIn, hazardLamps,
  headlamps, driverDoorOpen, ignition, and driverId. CSV with a header row, one JSON object a line, or one
  JSON array. An empty cell is 'not reported', which is not zero. Several files are one input: their order,
  and how rows are spread over them, changes nothing. A row is rejected only if its columns, time or
  vehicleId cannot be used; a time cannot be used either where the row comes later than --late-seconds, or
  where a wrong clock puts it an hour or more ahead of the rows around it. Any other unusable cell is counted
  and taken as not reported.
`;

const analyzeHelp = `${inputHelp}
What comes out
  Standard output, or --out: NDJSON, one episode a line, by loadTransferTime, then vehicleId; nothing else.
  Standard error: progress, where that is a terminal, and a closing summary: rows read, rows rejected by
  reason, vehicles, episodes, anomalies, rows/s.
${exitHelp}
Examples
  gearhold analyze monday.csv.gz > episodes.ndjson
  gearhold analyze --vehicles fleet.json --sites sites.json --out episodes.ndjson north.csv south.ndjson
  zcat monday.csv.gz | gearhold analyze --format csv -
  gearhold analyze --profile feed.json --rejects rejects.ndjson export.csv
`;

const reportHelp = `${inputHelp}
What comes out
  Standard output: what was found, what to look at with its evidence, and what could not be judged and why.
  Times are in the zone of the site, where the sites file gives one, else in UTC. No colour is needed to read
  it; where colour is used, NO_COLOR turns it off. The evidence bar shows what the true value can be, against
  the limit: solid where it is wholly past, an outline where it is wholly within, hatched where neither is
  proven, with an open end where it is unbounded. With --work it also says which records of dispatch were found;
  gearhold match --help says what the file holds.
${exitHelp}
Examples
  gearhold report monday.csv.gz
  gearhold report --units us --sites sites.json monday.csv.gz | less
`;

const fieldCheckHelp = `
What goes in
  The sheet is CSV with the columns of --template: vehicleId and kind (coupling, uncoupling, or none for a truck
  that was watched and did neither), and whatever else was written down. A blank cell was not seen. A time is
  a time of day to the second, on the row's date and in its zone, or RFC 3339 with offset. Whatever cannot be
  right is told with its line and column, and nothing is compared until it is mended.
What comes out
  First what may be concluded: any step called missed that a person saw done, and whether thirty couplings and
  uncouplings were watched, before which nothing else is concluded. Then what was found and what was not,
  what was found in the watched time that nobody saw, which stopwatch times lie outside the bounds of the
  analysis, and each step seen against its verdict, with 95 % intervals.
${exitHelp}
Examples
  gearhold field-check --sheet --out sheet.html
  gearhold field-check --template --out sheet.csv
  gearhold field-check sheet.csv monday.csv.gz
  gearhold field-check --sites sites.json --vehicles fleet.json --format json sheet.csv monday.csv.gz
`;

const levelsHelp = `${inputHelp}
What comes out
  Standard output, for each truck: what shows its load; its levels without a trailer, with an empty and with a
  full one, each stated in the vehicles file or learned; noise and step of the load, the speed below which the
  wheel sensor reads 0, low idle, and what the released pedal reads; every signal with how often it comes (at
  intervals, or only what changed, with the share of rows that carry it), or that it never came; what the
  readings contradict in the vehicles file; and which checks of the policy can never be judged on that truck,
  or never be shown missed or met, and why. What a site asks otherwise is left out of this.
  With --ndjson one JSON object a truck: schemas/levels.schema.json says what is in it.
${exitHelp}
Examples
  gearhold levels monday.csv.gz
  gearhold levels --vehicles fleet.json --sites sites.json monday.csv.gz tuesday.csv.gz
  gearhold levels --ndjson monday.csv.gz > levels.ndjson
`;

const matchHelp = `${inputHelp}
The work file
  Records of dispatch: time (RFC 3339 with offset), vehicleId and action (hook: took a trailer, drop: left one), and,
  where known, trailerId, trailerType, driverId, siteId. CSV with a header row, one JSON array, or one JSON object a
  line; other columns are not read. A hook is matched to a coupling and a drop to an uncoupling of the same truck, one
  to one, within --window-minutes, so that all of them together lie as near as they can.

What comes out
  Standard output: the share of records that were found, with its 95 % interval (Wilson), of those that fall into the
  readings of their truck; each record that was not seen and each episode that nobody recorded; and how many are left
  out because the other side does not reach that far. With --ndjson one JSON object a result, a summary last:
  schemas/work-match.schema.json says what is in it.
${exitHelp}
Examples
  gearhold match --work dispatch.csv monday.csv.gz
  gearhold match --work dispatch.csv --window-minutes 30 --ndjson monday.csv.gz > matched.ndjson
`;

const policyWords = `What the procedure asks: which checks are made and with which limits.`;

const policyShowHelp = `
Example
  gearhold policy show > policy.json           then change it, and: gearhold analyze --policy policy.json FILE
`;
