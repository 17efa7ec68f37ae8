/** The checks of episodes as rows, and back as the wire has them. */
import type { WireCheck } from '@gearhold/policy';
import type { Statements, Transaction } from '../engine/engine.ts';

/** Stores the checks of an episode that has none. */
export async function insertChecks(
  transaction: Transaction,
  episodeId: string,
  loadTransferTime: string,
  checks: readonly WireCheck[],
): Promise<void> {
  if (checks.length === 0) return;
  const rows = checks.map((check, position) => ({
    position,
    check_name: check.check,
    outcome: check.outcome,
    value: check.measured?.value ?? null,
    low: check.measured?.low ?? null,
    high: check.measured?.high ?? null,
    unit: check.measured?.unit ?? null,
    limits: check.limit,
    window_start: check.window?.start ?? null,
    window_end: check.window?.end ?? null,
    concern: check.concern,
    urgency: check.urgency,
    reason: check.reason,
    reason_parts: check.reasonParts,
  }));
  await transaction.query(
    `insert into check_result (episode_id, load_transfer_time, position, check_name, outcome, value, low, high, unit, limits,
      window_start, window_end, concern, urgency, reason, reason_parts)
    select $1, $2::timestamptz, position, check_name, outcome, value, low, high, unit, limits,
      window_start, window_end, concern, urgency, reason, reason_parts
    from json_to_recordset($3::json) as given (position smallint, check_name text, outcome text, value double precision,
      low double precision, high double precision, unit text, limits json, window_start timestamptz,
      window_end timestamptz, concern text, urgency text, reason text, reason_parts json)`,
    [episodeId, loadTransferTime, JSON.stringify(rows)],
  );
}

/** A check as it stands in the table. */
export interface CheckRow {
  readonly check: string;
  readonly outcome: string;
  readonly value: number | null;
  readonly low: number | null;
  readonly high: number | null;
  readonly unit: string | null;
  readonly limits: string;
  readonly windowStartMs: number | null;
  readonly windowEndMs: number | null;
  readonly concern: string;
  readonly urgency: string;
  readonly reason: string;
  readonly reasonParts: string;
}

/** Columns of {@link CheckRow}, with the table under the name `c`. */
export const checkColumns = `c.check_name as "check", c.outcome, c.value, c.low, c.high, c.unit, c.limits,
  c.window_start as "windowStartMs", c.window_end as "windowEndMs", c.concern, c.urgency, c.reason,
  c.reason_parts as "reasonParts"`;

export function wireCheckOf(row: CheckRow): WireCheck {
  return {
    check: row.check,
    outcome: row.outcome as WireCheck['outcome'],
    measured: row.value === null ? null : { value: row.value, low: row.low, high: row.high, unit: row.unit! },
    limit: JSON.parse(row.limits) as WireCheck['limit'],
    window: row.windowStartMs === null ? null : { start: iso(row.windowStartMs), end: iso(row.windowEndMs!) },
    concern: row.concern as WireCheck['concern'],
    urgency: row.urgency as WireCheck['urgency'],
    reason: row.reason,
    reasonParts: JSON.parse(row.reasonParts) as WireCheck['reasonParts'],
  };
}

/** The checks of episodes in the policy's order, by episode. */
export async function readChecks(
  statements: Statements,
  episodeIds: readonly string[],
): Promise<Map<string, WireCheck[]>> {
  const rows = await statements.query<CheckRow & { episodeId: string }>(
    `select c.episode_id as "episodeId", ${checkColumns} from check_result c
    where c.episode_id = any ($1::text[]) order by c.episode_id, c.position`,
    [episodeIds],
  );
  const checks = new Map<string, WireCheck[]>(episodeIds.map((episodeId) => [episodeId, []]));
  for (const row of rows) checks.get(row.episodeId)!.push(wireCheckOf(row));
  return checks;
}

function iso(timeMs: number): string {
  return new Date(timeMs).toISOString();
}
