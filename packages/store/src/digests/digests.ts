/**
 * Which mail of a day went to whom: at most one a day and recipient. Three steps, each stored before the next begins:
 *
 * - `intended`: somebody is about to send it, under its fixed Message-ID. Nothing has left: a later start may begin again.
 * - `unknown`, noted just before the first byte of it is handed to the mail server. Whoever finds this does not know whether the mail
 *   went, and does not send it again by itself.
 * - `sent` or `refused`, when the server has answered. A refused one may be sent again.
 *
 * Every step names the attempt it belongs to, so that of two that sent at once at most one gets past the first.
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
  /** When the last attempt read what the mail says. */
  readonly intendedMs: number;
  readonly changedMs: number;
  /** Why it was refused, or why its fate is unknown; never holds a password. */
  readonly problem: string | null;
}

const columns = `day, recipient, message_id as "messageId", state, attempts, intended_at as "intendedMs",
  changed_at as "changedMs", problem`;

/** States that a mail may be sent from without anybody asking for it: none of it has reached the recipient. */
const sendable: readonly DigestState[] = ['intended', 'refused'];

/** The mail of a day and recipient, and which attempt at it. */
export interface DigestAttempt {
  readonly day: string;
  readonly recipient: string;
  /** From 1. */
  readonly attempt: number;
}

/**
 * Notes the intent to send, before anything is sent; null where the mail is not to be sent, because it went or may have gone.
 *
 * @param nowMs when what the mail says was read from the store
 * @param from states of a mail known before that it may be sent from
 */
export async function intendDigest(
  statements: Statements,
  digest: { readonly day: string; readonly recipient: string; readonly messageId: string },
  nowMs: number,
  from: readonly DigestState[] = sendable,
): Promise<DigestAttempt | null> {
  const [row] = await statements.query<{ attempts: number }>(
    `insert into digest as known (day, recipient, message_id, state, attempts, intended_at, changed_at)
    values ($1, $2, $3, 'intended', 1, $4, $4)
    on conflict (day, recipient) do update set state = 'intended', message_id = excluded.message_id,
      attempts = known.attempts + 1, intended_at = excluded.intended_at, changed_at = excluded.changed_at, problem = null
    where known.state = any ($5::text[])
    returning attempts`,
    [digest.day, digest.recipient, digest.messageId, instant(nowMs), from],
  );
  return row === undefined ? null : { day: digest.day, recipient: digest.recipient, attempt: row.attempts };
}

/** Notes that a mail is being handed over; false where another attempt has begun since, and this one must not. */
export async function handOverDigest(
  statements: Statements,
  { day, recipient, attempt }: DigestAttempt,
  nowMs: number,
): Promise<boolean> {
  const rows = await statements.query(
    `update digest set state = 'unknown', changed_at = greatest(intended_at, $4),
      problem = 'it was handed to the mail server, whose answer was not seen'
    where day = $1 and recipient = $2 and attempts = $3 and state = 'intended'
    returning day`,
    [day, recipient, attempt, instant(nowMs)],
  );
  return rows.length > 0;
}

/** What became of an attempt; nothing where another has begun since. */
export async function settleDigest(
  statements: Statements,
  { day, recipient, attempt }: DigestAttempt,
  state: Exclude<DigestState, 'intended'>,
  problem: string | null,
  nowMs: number,
): Promise<void> {
  await statements.query(
    `update digest set state = $4, problem = $5, changed_at = greatest(intended_at, $6)
    where day = $1 and recipient = $2 and attempts = $3`,
    [day, recipient, attempt, state, problem, instant(nowMs)],
  );
}

/** The last mail of a day before this one that reached a recipient, or may have; null where there was none. */
export async function digestBefore(
  statements: Statements,
  day: string,
  recipient: string,
): Promise<DigestRecord | null> {
  const [record] = await statements.query<DigestRecord>(
    `select ${columns} from digest
    where recipient = $2 and day < $1 and state in ('sent', 'unknown') order by day desc limit 1`,
    [day, recipient],
  );
  return record ?? null;
}

/** The mails of a day, by recipient. */
export function digestsOf(statements: Statements, day: string): Promise<DigestRecord[]> {
  return statements.query<DigestRecord>(`select ${columns} from digest where day = $1 order by recipient`, [day]);
}

/** Mails of any day that are not known to be sent, by day and recipient. */
export function digestsNotSent(statements: Statements): Promise<DigestRecord[]> {
  return statements.query<DigestRecord>(`select ${columns} from digest where state <> 'sent' order by day, recipient`);
}

/** Mails, those of the latest day first, from before one on. */
export function digestsPage(
  statements: Statements,
  before: { readonly day: string; readonly recipient: string } | null,
  limit: number,
): Promise<DigestRecord[]> {
  return statements.query<DigestRecord>(
    `select ${columns} from digest
    where $1::date is null or day < $1::date or (day = $1::date and recipient > $2)
    order by day desc, recipient limit $3`,
    [before?.day ?? null, before?.recipient ?? '', limit],
  );
}
