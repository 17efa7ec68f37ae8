/** `gearhold digest resend`: sends again what may not have arrived, because somebody asked. */

import { printable } from '@gearhold/look';
import { dayWindow } from '@gearhold/operations/day';
import { mailPlace, readRecipients, resendDigests } from '@gearhold/operations/digest';
import { withStore } from '@gearhold/operations/store-place';
import { type ExitStatus, exitStatus, Failure } from '@gearhold/shared';
import type { Io } from '../job.ts';

export interface ResendOptions {
  readonly store: string;
  readonly day: string;
  readonly zone: string;
  readonly recipients: string;
}

/** `addresses`: to whom; everybody whose mail is not known to have arrived where none is given. */
export async function digestResendCommand(
  addresses: readonly string[],
  { store, day, zone, recipients: file }: ResendOptions,
  io: Io,
): Promise<ExitStatus> {
  const recipients = await readRecipients(file);
  const strangers = addresses.filter((address) => !recipients.some((recipient) => recipient.address === address));
  if (strangers.length > 0)
    throw new Failure(exitStatus.usage, `${strangers.join(', ')} is not in the recipients file ${file}.`);
  const { courier, from, consoleUrl } = mailPlace(process.env);
  const options = { recipients, courier, from, consoleUrl, now: Date.now };
  const place = { databaseUrl: process.env.DATABASE_URL, folder: store };
  return withStore(place, Date.now(), async (engine) => {
    const asked = addresses.length === 0 ? 'all' : addresses;
    const outcomes = await resendDigests(engine, dayWindow(day, zone), options, asked);
    for (const { recipient, state, path, problem } of outcomes) {
      const what = { sent: 'sent', written: `written to ${path}`, before: 'arrived before, not sent again' };
      const said = state === 'unknown' || state === 'refused' ? `${state}: ${problem}` : what[state];
      io.stdout.write(`${printable(recipient, 200)}: ${said}\n`);
    }
    const inDoubt = outcomes.some(({ state }) => state === 'unknown' || state === 'refused');
    return inDoubt ? exitStatus.attention : exitStatus.done;
  });
}
