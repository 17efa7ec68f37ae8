/**
 * Anomalies of days gone by that turned since somebody last looked: found, found again, or withdrawn. Of one that was withdrawn stands
 * what its episode said while it was proven.
 */
import type { WireCheck, WireEpisode } from '@gearhold/policy';
import { type CheckRow, checkColumns, wireCheckOf } from '../analysis/checks.ts';
import type { Statements } from '../engine/engine.ts';
import { instant } from '../engine/values.ts';

export interface TurnedAnomaly {
  readonly anomalyId: string;
  readonly state: 'open' | 'withdrawn';
  readonly arrivedLate: boolean;
  readonly firstSeenMs: number;
  readonly terminal: string | null;
  readonly driverTerminal: string | null;
  /** The episode when the check was missed; only the missed check stands in it. */
  readonly wire: WireEpisode;
  readonly check: WireCheck;
}

export interface TurnedSpan {
  /** Load transfer before this, ms since the epoch. */
  readonly untilMs: number;
  /** Turned at or after this. */
  readonly sinceMs: number;
}

interface Standing extends Omit<TurnedAnomaly, 'wire' | 'check' | 'state'> {
  readonly document: string;
}

const columns = `a.anomaly_id as "anomalyId", a.arrived_late as "arrivedLate", a.first_seen as "firstSeenMs",
  e.terminal, e.driver_terminal as "driverTerminal"`;

/** By load transfer, then id; those that are open first. One that came and went since is not among them. */
export async function anomaliesTurned(statements: Statements, span: TurnedSpan): Promise<TurnedAnomaly[]> {
  const parameters = [instant(span.untilMs), instant(span.sinceMs)];
  const open = await statements.query<Standing & CheckRow>(
    `select ${columns}, e.document, ${checkColumns}
    from anomaly a
    join episode e on e.episode_id = a.episode_id
    join check_result c on c.episode_id = a.episode_id and c.check_name = a.check_name
    where a.state = 'open' and a.changed_at >= $2 and e.load_transfer_time < $1
    order by e.load_transfer_time, a.anomaly_id`,
    parameters,
  );
  const withdrawn = await statements.query<Standing & { check: string }>(
    `select ${columns}, a.check_name as "check", h.document
    from anomaly a
    join episode e on e.episode_id = a.episode_id
    join episode_history h on h.episode_id = a.episode_id
    where a.state = 'withdrawn' and a.changed_at >= $2 and a.first_seen < $2 and e.load_transfer_time < $1
    order by e.load_transfer_time, a.anomaly_id, h.revision desc`,
    parameters,
  );
  return [...open.map(openOne), ...lastProven(withdrawn)];
}

function openOne(row: Standing & CheckRow): TurnedAnomaly {
  const check = wireCheckOf(row);
  return turned(row, 'open', JSON.parse(row.document) as WireEpisode, check);
}

/** Of each anomaly the latest revision that proved it. */
function lastProven(rows: readonly (Standing & { readonly check: string })[]): TurnedAnomaly[] {
  const found = new Map<string, TurnedAnomaly>();
  for (const row of rows) {
    if (found.has(row.anomalyId)) continue;
    const wire = JSON.parse(row.document) as WireEpisode;
    const check = wire.checks.find(({ check, outcome }) => check === row.check && outcome === 'missed');
    if (check !== undefined) found.set(row.anomalyId, turned(row, 'withdrawn', wire, check));
  }
  return [...found.values()];
}

function turned(row: Standing, state: TurnedAnomaly['state'], wire: WireEpisode, check: WireCheck): TurnedAnomaly {
  const { anomalyId, arrivedLate, firstSeenMs, terminal, driverTerminal } = row;
  return {
    anomalyId,
    state,
    arrivedLate,
    firstSeenMs,
    terminal,
    driverTerminal,
    wire: { ...wire, checks: [check] },
    check,
  };
}
