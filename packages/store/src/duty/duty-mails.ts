/**
 * Which urgent anomaly was mailed to the duty address: at most one mail an anomaly, by the steps of the digests. `intended` before
 * anything is sent; `unknown` just before the first byte is handed over, so that whoever finds it does not send it again; `sent` or
 * `refused` when the server has answered. A refused one may be tried again.
 */
import type { Statements } from '../engine/engine.ts';
import { instant } from '../engine/values.ts';

export interface DutyMailRecord {
  readonly anomalyId: string;
  readonly recipient: string;
  readonly messageId: string;
  readonly state: 'intended' | 'sent' | 'unknown' | 'refused';
  readonly attempts: number;
  readonly changedMs: number;
  /** Why it was refused, or why its fate is unknown; never holds a password. */
  readonly problem: string | null;
}

/** The mail of an anomaly, and which attempt at it, from 1. */
export interface DutyAttempt {
  readonly anomalyId: string;
  readonly attempt: number;
}

/** What still stands and alarms: proven, in time, and not settled by anybody. */
const alarming = `a.state = 'open' and a.urgency = 0 and not a.arrived_late and a.case_state not in ('dismissed', 'closed')`;

/**
 * Urgent anomalies that nobody has been mailed of, the oldest first.
 *
 * @param sinceMs older load transfers, and what was found before then, alarm nobody
 * @param refusedBeforeMs what was refused later than this is left alone for now
 */
export async function dutyMailsDue(
  statements: Statements,
  sinceMs: number,
  refusedBeforeMs: number,
  limit: number,
): Promise<string[]> {
  const rows = await statements.query<{ anomalyId: string }>(
    `select a.anomaly_id as "anomalyId" from anomaly a left join duty_mail m on m.anomaly_id = a.anomaly_id
    where ${alarming} and a.load_transfer_time >= $1 and a.first_seen >= $1
      and (m.state is null or m.state = 'intended' or (m.state = 'refused' and m.changed_at <= $2))
    order by a.load_transfer_time, a.anomaly_id limit $3`,
    [instant(sinceMs), instant(refusedBeforeMs), limit],
  );
  return rows.map(({ anomalyId }) => anomalyId);
}

/** Notes the intent to send, before anything is sent; null where the mail went, or may have gone. */
export async function intendDutyMail(
  statements: Statements,
  mail: Pick<DutyMailRecord, 'anomalyId' | 'recipient' | 'messageId'>,
  nowMs: number,
): Promise<DutyAttempt | null> {
  const [row] = await statements.query<{ attempts: number }>(
    `insert into duty_mail as known (anomaly_id, recipient, message_id, state, attempts, intended_at, changed_at)
    values ($1, $2, $3, 'intended', 1, $4, $4)
    on conflict (anomaly_id) do update set state = 'intended', recipient = excluded.recipient,
      message_id = excluded.message_id, attempts = known.attempts + 1, intended_at = excluded.intended_at,
      changed_at = excluded.changed_at, problem = null
    where known.state in ('intended', 'refused')
    returning attempts`,
    [mail.anomalyId, mail.recipient, mail.messageId, instant(nowMs)],
  );
  return row === undefined ? null : { anomalyId: mail.anomalyId, attempt: row.attempts };
}

/** Notes that a mail is being handed over; false where another attempt has begun, or the anomaly does not alarm any more. */
export async function handOverDutyMail(
  statements: Statements,
  { anomalyId, attempt }: DutyAttempt,
  nowMs: number,
): Promise<boolean> {
  const rows = await statements.query(
    `update duty_mail set state = 'unknown', changed_at = greatest(intended_at, $3),
      problem = 'it was handed to the mail server, whose answer was not seen'
    where anomaly_id = $1 and attempts = $2 and state = 'intended'
      and exists (select 1 from anomaly a where a.anomaly_id = $1 and ${alarming})
    returning anomaly_id`,
    [anomalyId, attempt, instant(nowMs)],
  );
  return rows.length > 0;
}

/** What became of an attempt; nothing where another has begun since. */
export async function settleDutyMail(
  statements: Statements,
  { anomalyId, attempt }: DutyAttempt,
  state: 'sent' | 'unknown' | 'refused',
  problem: string | null,
  nowMs: number,
): Promise<void> {
  await statements.query(
    `update duty_mail set state = $3, problem = $4, changed_at = greatest(intended_at, $5)
    where anomaly_id = $1 and attempts = $2`,
    [anomalyId, attempt, state, problem, instant(nowMs)],
  );
}

/** What became of the mails of some anomalies, by id. */
export function dutyMailsOf(statements: Statements, anomalyIds: readonly string[]): Promise<DutyMailRecord[]> {
  return statements.query<DutyMailRecord>(
    `select anomaly_id as "anomalyId", recipient, message_id as "messageId", state, attempts, changed_at as "changedMs",
      problem
    from duty_mail where anomaly_id = any ($1::text[]) order by anomaly_id`,
    [anomalyIds],
  );
}
