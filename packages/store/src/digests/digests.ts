/**
 * Which mail of a day went to whom: at most one a day and recipient. The intent is stored before a mail leaves, with its fixed
 * Message-ID; an intent that a later start finds without an end is a mail whose fate is unknown, and is not sent again by
 * itself.
 */
import type { Statements } from '../engine/engine.ts';
import { instant } from '../engine/values.ts';

export type DigestState = 'intended' | 'sent' | 'unknown' | 'refused';

export interface DigestRecord {
  /** `YYYY-MM-DD` in the fleet's calendar. */
  readonly day: string;
  readonly recipient: string;
  readonly messageId: string;
  readonly state: DigestState;
  /** How often sending was begun. */
  readonly attempts: number;
  readonly intendedMs: number;
  readonly changedMs: number;
  /** Why it was refused, or why its fate is unknown; never holds a password. */
  readonly problem: string | null;
}

const columns = `day, recipient, message_id as "messageId", state, attempts, intended_at as "intendedMs",
  changed_at as "changedMs", problem`;

/**
 * Notes the intent to send, before anything is sent: true where the mail may be sent now by whoever asked, which is at most
 * one. That is so where there was no such mail, and, for `again`, where the one there was has the state given there.
 */
export async function intendDigest(
  statements: Statements,
  digest: { readonly day: string; readonly recipient: string; readonly messageId: string },
  nowMs: number,
  again: readonly DigestState[] = ['refused'],
): Promise<boolean> {
  const rows = await statements.query(
    `insert into digest as known (day, recipient, message_id, state, attempts, intended_at, changed_at)
    values ($1, $2, $3, 'intended', 1, $4, $4)
    on conflict (day, recipient) do update set state = 'intended', attempts = known.attempts + 1,
      changed_at = greatest(known.intended_at, excluded.changed_at), problem = null
    where known.state = any ($5::text[])
    returning day`,
    [digest.day, digest.recipient, digest.messageId, instant(nowMs), again],
  );
  return rows.length > 0;
}

/** What became of a mail. */
export async function settleDigest(
  statements: Statements,
  digest: { readonly day: string; readonly recipient: string },
  state: Exclude<DigestState, 'intended'>,
  problem: string | null,
  nowMs: number,
): Promise<void> {
  await statements.query(
    `update digest set state = $3, problem = $4, changed_at = greatest(intended_at, $5)
    where day = $1 and recipient = $2`,
    [digest.day, digest.recipient, state, problem, instant(nowMs)],
  );
}

/** The mails of a day, by recipient. */
export function digestsOf(statements: Statements, day: string): Promise<DigestRecord[]> {
  return statements.query<DigestRecord>(`select ${columns} from digest where day = $1 order by recipient`, [day]);
}

/** Mails of any day that are not known to be sent, by day and recipient. */
export function digestsNotSent(statements: Statements): Promise<DigestRecord[]> {
  return statements.query<DigestRecord>(`select ${columns} from digest where state <> 'sent' order by day, recipient`);
}
