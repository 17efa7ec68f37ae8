/** The commands that work on the store, their options and help. What each does is loaded only where it is asked for. */
import { isDay } from '@gearhold/operations/day';
import { checkList, concerns, outcomes, urgencies } from '@gearhold/policy';
import type { ExitStatus } from '@gearhold/shared';
import { inputFormats, isZone, parseRfc3339 } from '@gearhold/signals';
import { type Command, InvalidArgumentError, Option } from 'commander';
import type { Io } from './job.ts';

type Ended = (status: ExitStatus) => void;

/** Adds the commands; gives those that were added, subcommands included. */
export function storeCommands(program: Command, io: Io, ended: Ended): Command[] {
  return [
    ingest(program, io, ended),
    nightly(program),
    anomalies(program, io, ended),
    ...hold(program, io, ended),
    ...digest(program, io, ended),
  ];
}

function ingest(program: Command, io: Io, ended: Ended): Command {
  return program
    .command('ingest')
    .summary('readings into the store, each file once')
    .description(
      'Takes files of readings into the store. A file is known by its content and taken once; one that was interrupted\nis gone on with. Rows that the store has change nothing; rows that differ correct it.',
    )
    .argument('<file...>', 'files of readings (.csv, .ndjson, .jsonl, .json, each also .gz); - is standard input')
    .addOption(storeOption())
    .addOption(new Option('--format <format>', 'format of every file, whatever its name says').choices(inputFormats))
    .option('--profile <file>', "source profile: somebody else's columns, units, times and codes")
    .option('--late-seconds <n>', 'how late rows of a vehicle may come within a file, in seconds', seconds, 30)
    .addOption(
      new Option(
        '--drivers <mode>',
        'what is kept of who drove; as before where left out, named in a new store',
      ).choices(['named', 'pseudonym', 'none']),
    )
    .option('--drivers-file <file>', 'drivers: driverId, name, terminal, from, to (.csv, .json, .ndjson)')
    .option('--vehicles <file>', 'what is known of the trucks')
    .option('--sites <file>', 'the places: circles or polygons, with zone, surface, slope')
    .option('--policy <file>', 'what the procedure asks; episodes are judged by the policy of their time')
    .option('--policy-from <time>', 'from when that policy holds, RFC 3339; from now on where another one did', instant)
    .option('--rejects <file>', 'also write rejected rows there as NDJSON: file, line, reason, row')
    .addHelpText('after', ingestHelp)
    .action(async (files: string[], options) => {
      const { ingestCommand } = await import('./commands/ingest.ts');
      ended(await ingestCommand(files, options, io));
    });
}

/** Here for the list of commands; the program that does it takes the arguments before they are parsed. */
function nightly(program: Command): Command {
  return program.command('nightly').summary('a day of the fleet: files of the inbox in, analysis, digest');
}

function anomalies(program: Command, io: Io, ended: Ended): Command {
  return program
    .command('anomalies')
    .summary('what the store holds of judged checks: the missed ones, by any filter')
    .description(
      'Lists judged checks of the store, the latest first; those that were missed where nothing else is asked.',
    )
    .addOption(storeOption())
    .option('--since <when>', 'load transfer from then on: a day, or an RFC 3339 time', moment)
    .option('--until <when>', 'load transfer until then: a day, which counts whole, or an RFC 3339 time', moment)
    .addOption(zoneOption())
    .option('--driver <id...>', 'of these drivers')
    .option('--vehicle <id...>', 'of these trucks')
    .option('--site <id...>', 'at these sites')
    .option('--terminal <id...>', 'of these terminals: the site of the episode, else of the truck')
    .addOption(new Option('--check <name...>', 'of these checks').choices(checkList.map(({ name }) => name)))
    .addOption(
      new Option('--outcome <outcome...>', 'with these outcomes').choices(outcomes).default(['missed'], 'missed'),
    )
    .addOption(new Option('--concern <concern...>', 'for these').choices(concerns))
    .addOption(new Option('--urgency <urgency...>', 'as urgent as these').choices(urgencies))
    .addOption(
      new Option('--format <format>', 'table: to read; csv; ndjson: SI, whatever the units')
        .choices(['table', 'csv', 'ndjson'])
        .default('table'),
    )
    .addOption(
      new Option('--units <units>', 'units of the table and of CSV').choices(['metric', 'us']).default('metric'),
    )
    .option('--ascii', 'draw with ASCII characters only', false)
    .addHelpText('after', anomaliesHelp)
    .action(async (options) => {
      const { anomaliesCommand } = await import('./commands/anomalies.ts');
      ended(await anomaliesCommand(options, io));
    });
}

function hold(program: Command, io: Io, ended: Ended): Command[] {
  const commands = () => import('./commands/hold.ts');
  const parent = program
    .command('hold')
    .summary('keep what a lawyer may ask for from every pruning')
    .description('A hold keeps raw rows, evidence, policies and versions from every pruning, until it is released.');
  const add = parent
    .command('add')
    .summary('keep a truck, a driver or a period')
    .description('Places a hold and prints its number. Several conditions narrow it: what all of them name is kept.')
    .addOption(storeOption())
    .option('--vehicle <id>', 'of this truck')
    .option('--driver <id>', 'of this driver, as the store has the id')
    .option('--since <when>', 'from then on: a day, or an RFC 3339 time', moment)
    .option('--until <when>', 'until then: a day, which counts whole, or an RFC 3339 time', moment)
    .addOption(zoneOption())
    .requiredOption('--reason <text>', 'why, for whoever asks in a year')
    .action(async (options) => ended(await (await commands()).holdAddCommand(options, io)));
  const release = parent
    .command('release')
    .summary('let go of it')
    .description('Releases a hold: what it alone kept goes with the next pruning.')
    .argument('<number>', 'as hold add printed it', holdNumber)
    .addOption(storeOption())
    .action(async (number: number, options) => ended(await (await commands()).holdReleaseCommand(number, options, io)));
  const list = parent
    .command('list')
    .summary('what is held')
    .description('Lists the holds that hold.')
    .addOption(storeOption())
    .option('--all', 'those that were released too', false)
    .action(async (options) => ended(await (await commands()).holdListCommand(options, io)));
  return [parent, add, release, list];
}

function digest(program: Command, io: Io, ended: Ended): Command[] {
  const parent = program
    .command('digest')
    .summary('the daily mail: send again what may not have arrived')
    .description('The daily mail goes out with gearhold nightly, at most once a day and recipient.');
  const resend = parent
    .command('resend')
    .summary('send a digest again')
    .description(
      'Sends the digest of a day again to those of whom nobody knows whether they have it, or whose server refused it.\nOne that is known to have arrived is not sent again.',
    )
    .argument('[address...]', 'to these of the recipients only')
    .addOption(storeOption())
    .requiredOption('--day <day>', 'the day, as 2026-03-02', day)
    .addOption(zoneOption())
    .addOption(
      new Option('--recipients <file>', 'the recipients file').env('GEARHOLD_RECIPIENTS').makeOptionMandatory(),
    )
    .action(async (addresses: string[], options) => {
      const { digestResendCommand } = await import('./commands/digest.ts');
      ended(await digestResendCommand(addresses, options, io));
    });
  return [parent, resend];
}

function day(text: string): string {
  if (!isDay(text)) throw new InvalidArgumentError('Expected a day of the calendar, as 2026-03-02.');
  return text;
}

function storeOption(): Option {
  return new Option('--store <folder>', 'folder of the embedded store; DATABASE_URL names a server instead')
    .env('GEARHOLD_STORE')
    .default('./gearhold-data');
}

function zoneOption(): Option {
  return new Option('--zone <zone>', 'zone in which days begin')
    .env('GEARHOLD_ZONE')
    .argParser((text: string) => {
      if (!isZone(text)) throw new InvalidArgumentError('Expected an IANA time zone, such as America/Chicago.');
      return text;
    })
    .default('UTC');
}

function seconds(text: string): number {
  const value = Number(text);
  if (text.trim() === '' || !(value >= 0) || value > 1e9)
    throw new InvalidArgumentError('Expected a number of seconds, 0 or more.');
  return value;
}

function rfc3339Ms(text: string): number {
  const bytes = new TextEncoder().encode(text);
  return parseRfc3339(bytes, 0, bytes.length);
}

function instant(text: string): number {
  const ms = rfc3339Ms(text);
  if (Number.isNaN(ms))
    throw new InvalidArgumentError('Expected an RFC 3339 time with offset, as 2026-03-02T00:00:00-06:00.');
  return ms;
}

function moment(text: string): string {
  if (isDay(text) || !Number.isNaN(rfc3339Ms(text))) return text;
  throw new InvalidArgumentError('Expected a day, as 2026-03-02, or an RFC 3339 time with offset.');
}

function holdNumber(text: string): number {
  if (!/^[1-9]\d{0,14}$/.test(text)) throw new InvalidArgumentError('Expected the number of a hold, as 3.');
  return Number(text);
}

const ingestHelp = `
What becomes of it
  Rows, rejects and the place in the file are stored together, so a load that was killed at any point goes on where it stopped.
  A row of a truck and instant that the store has already is a correction where it differs: what it reports wins, what it does
  not report stays. Rejected rows are kept whole in the store (without their text where drivers are not kept by name, since it
  may name one). --drivers pseudonym keeps a keyed hash in place of each driver's id, --drivers none keeps nothing of who drove;
  either holds for all later loads. Episodes are found and judged by gearhold nightly.

Exit status
  0  done; a file that was taken before counts as done
  2  an argument or a companion file cannot be used; the message names the place
  3  a file could not be read to its end, or no row of it was usable; what was read is stored
  1  the store could not be used; nothing is half-written, start it again
 11  another process has the embedded store open

Examples
  gearhold ingest monday.csv.gz tuesday.csv.gz
  gearhold ingest --drivers pseudonym --drivers-file drivers.csv --sites sites.json --vehicles fleet.json monday.csv.gz
  DATABASE_URL=postgresql://gearhold@db/fleet gearhold ingest monday.csv.gz
`;

const anomaliesHelp = `
What comes out
  As a table, one entry a check: when and where, the sentence, the evidence bar, whom it is for. As CSV or NDJSON the same with
  every figure. Filters of one kind are alternatives, filters of several kinds must all hold.

Examples
  gearhold anomalies --since 2026-03-02 --until 2026-03-02 --zone America/Chicago
  gearhold anomalies --driver D-31 --since 2026-01-01 --format csv > talk.csv
  gearhold anomalies --outcome undetermined --check gear-hold-pause --terminal cairn
`;
