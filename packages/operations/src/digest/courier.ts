/** Who takes a mail away: a mail server, or a folder where none is configured. */
import { mkdir } from 'node:fs/promises';
import { join, resolve } from 'node:path';
import { AtomicFile, exitStatus, Failure, fileReason } from '@gearhold/shared';
import { fingerprint, type Mail } from './message.ts';

export type Delivery =
  /** `path`: the file it was written to. */
  | { readonly state: 'sent'; readonly path: string | null }
  /** The recipient has none of it. `reached`: whether the server answered at all; if not, it will not for the next mail either. */
  | { readonly state: 'refused'; readonly problem: string; readonly reached: boolean }
  /** Nobody knows whether the recipient has it. */
  | { readonly state: 'unknown'; readonly problem: string }
  /** Somebody else is sending it. */
  | { readonly state: 'overtaken' };

export interface Courier {
  /**
   * Takes one mail away. Never throws for what a server or network does.
   *
   * @param handOver called once, just before the first byte of the mail may leave; where it gives false nothing leaves
   */
  deliver(mail: Mail, handOver: () => Promise<boolean>): Promise<Delivery>;
}

/**
 * Writes mails as files that any mail program opens. A file is whole or not there, and of one occasion and recipient it is always the
 * same file: so nothing has to be noted before.
 */
export function folderCourier(folder: string): Courier {
  return {
    async deliver(mail) {
      const path = resolve(join(folder, `${mail.occasion}-${fingerprint(mail).slice(0, 8)}.eml`));
      try {
        await mkdir(folder, { recursive: true });
      } catch (error) {
        throw new Failure(exitStatus.fault, `the mail folder ${folder} cannot be made: ${fileReason(error)}.`);
      }
      const file = new AtomicFile(path, 'mail file');
      file.write(new TextDecoder().decode(mail.raw));
      file.commit();
      return { state: 'sent', path };
    },
  };
}
