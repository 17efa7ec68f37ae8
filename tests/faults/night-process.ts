/**
 * A night in a process of its own that dies where it is told to: a test-only entry to the nightly program. The first argument says at
 * which moment (0 = never) and whether to print the store's contents at the end; the rest is a command line of the nightly program. The
 * clock stands three days ahead, so that every file is at rest.
 */
import { createLogger } from '@gearhold/shared/service';
import { digestsOf, openStore } from '@gearhold/store';
import { nightOn, readGiven } from '../../services/nightly/src/night.ts';
import { nightlyCommand } from '../../services/nightly/src/options.ts';
import { countingEngine } from './counting-engine.ts';
import { storeContents } from './store-contents.ts';

export interface NightOrder {
  /** The moment at which the process kills itself, counted from 1; 0 = it does not. */
  readonly dieAt: number;
}

/** What a process that was not killed prints, one line of JSON. */
export interface NightReport {
  readonly status: number;
  /** How many moments there were. */
  readonly moments: number;
  readonly contents: Awaited<ReturnType<typeof storeContents>>;
  /** What is stored of the mails of the days, by day and recipient. */
  readonly digests: readonly { readonly day: string; readonly recipient: string; readonly state: string }[];
}

const { dieAt } = JSON.parse(process.argv[2]!) as NightOrder;
const clock = { now: () => Date.now() + 3 * 86_400_000 };

let moments = 0;
const moment = () => {
  moments += 1;
  if (moments === dieAt) process.kill(process.pid, 'SIGKILL');
};

const command = nightlyCommand(
  async (settings) => {
    const inner = await openStore({ ...settings.place, nowMs: clock.now() });
    const given = await readGiven(settings);
    const io = { stdout: process.stderr, log: createLogger('nightly', 'silent'), clock };
    const status = await nightOn(countingEngine(inner, moment), settings, given, io);
    const mails = await Promise.all(settings.windows.map(({ day }) => digestsOf(inner, day)));
    const digests = mails.flat().map(({ day, recipient, state }) => ({ day, recipient, state }));
    const report: NightReport = { status, moments, contents: await storeContents(inner), digests };
    await inner.close();
    process.stdout.write(`${JSON.stringify(report)}\n`);
  },
  process.env,
  clock.now(),
);
await command.parseAsync(process.argv.slice(3), { from: 'user' });
