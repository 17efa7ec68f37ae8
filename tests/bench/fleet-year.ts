/**
 * A year of a fleet's episodes and checks, generated within the database: how many, when and whose they are is invented, the
 * width of the rows is that of real ones. And the questions that an analyst asks of them, as statements.
 */
import {
  countByWeekStatement,
  type Engine,
  findChecksStatement,
  instant,
  keepPolicy,
  type Parameter,
} from '@gearhold/store';

const dayMs = 86_400_000;

export interface FleetYear {
  readonly vehicles: number;
  readonly terminals: number;
  /** Each has five checks. */
  readonly episodes: number;
  /** The end of the year, ms since the epoch. */
  readonly untilMs: number;
}

export const checksPerEpisode = 5;

/** Episodes in one transaction. */
const chunk = 100_000;

/** Fills an empty store. Needs a superuser: the rows are right by their making, and their foreign keys are not looked up. */
export async function fillFleetYear(
  engine: Engine,
  { vehicles, terminals, episodes, untilMs }: FleetYear,
): Promise<void> {
  const policyId = await keepPolicy(engine, '{"version":1}');
  await engine.query(
    `insert into vehicle_progress (vehicle_id, first_reading_time, last_reading_time)
    select 'T-' || v, $1::timestamptz, $2::timestamptz from generate_series(1, $3::integer) v`,
    [instant(untilMs - 365 * dayMs), instant(untilMs), vehicles],
  );
  for (let from = 0; from < episodes; from += chunk) {
    const numbers: Parameter[] = [from, Math.min(episodes, from + chunk) - 1];
    await engine.transaction(async (transaction) => {
      await transaction.query(`set local session_replication_role = replica`);
      await transaction.query(episodesSql, [...numbers, vehicles, instant(untilMs), episodes, policyId, terminals]);
      await transaction.query(checksSql, numbers);
      await transaction.query(anomaliesSql, numbers);
    });
  }
  // So that the planner knows, and an index alone can answer.
  for (const table of ['episode', 'check_result', 'anomaly']) await engine.query(`vacuum analyze ${table}`);
}

// Episode numbers are spread over vehicles by a prime, so that neighbours in time are not neighbours in id.
const episodesSql = `
  insert into episode (episode_id, vehicle_id, kind, start_time, load_transfer_time, end_time, driver_id, driver_basis, site_id,
    terminal, confidence, closed, document, policy_id, state, revision, first_seen, changed_at)
  select md5(n::text)::text, 'T-' || vehicle, case when n % 2 = 0 then 'coupling' else 'uncoupling' end, time, time, time,
    'D-' || (vehicle + n % 3), 'reported', 'site-' || vehicle % 200, 'terminal-' || vehicle % $7::bigint, 0.97, true,
    ('{"episodeId":"' || md5(n::text) || '","milestones":"' || repeat('x', 600) || '"}')::json,
    $6, 'active', 1, time, time
  from (
    select n, 1 + (n * 7919) % $3::bigint as vehicle, $4::timestamptz - n * (interval '365 days' / $5::float8) as time
    from generate_series($1::bigint, $2::bigint) n
  ) made`;

const checksSql = `
  insert into check_result (episode_id, load_transfer_time, position, check_name, outcome, value, low, high, unit, limits,
    window_start, window_end, concern, urgency, reason, reason_parts)
  select e.episode_id, e.load_transfer_time, c, 'check-' || c + 5 * (n % 2),
    case when (n * 31 + c * 17) % 100 < 3 then 'missed' when (n + c) % 4 = 0 then 'undetermined' else 'met' end,
    11.5, 11.5, 11.5, '%', '{"maxAcceleratorPct":2,"sustainedSeconds":1}', e.load_transfer_time, e.load_transfer_time, 'driver',
    'routine', 'accelerator at 11.5 % for 3.0 s while reversing under the trailer',
    '{"text":"accelerator at {held} for {time}","values":{"held":{"value":11.5,"unit":"%"},"time":{"value":3,"unit":"s"}}}'
  from generate_series($1::bigint, $2::bigint) n
    join episode e on e.episode_id = md5(n::text), generate_series(0, ${checksPerEpisode - 1}) c`;

const anomaliesSql = `
  insert into anomaly (anomaly_id, episode_id, check_name, state, arrived_late, first_seen, changed_at)
  select c.episode_id || '/' || c.check_name, c.episode_id, c.check_name, 'open', false, c.load_transfer_time,
    c.load_transfer_time
  from generate_series($1::bigint, $2::bigint) n join check_result c on c.episode_id = md5(n::text)
  where c.outcome = 'missed'`;

export interface Question {
  readonly name: string;
  readonly sql: string;
  readonly parameters: readonly Parameter[];
}

/** What an analyst usually asks, at the end of the year. */
export function usualQuestions(untilMs: number): Question[] {
  const page = { order: 'oldest-first', limit: 200 } as const;
  const yesterday = { sinceMs: untilMs - dayMs, untilMs };
  return [
    {
      name: 'what was missed yesterday, by terminal',
      ...findChecksStatement({ ...yesterday, terminals: ['terminal-1'], outcomes: ['missed'] }, page),
    },
    {
      name: 'all checks of yesterday, by terminal',
      ...findChecksStatement({ ...yesterday, terminals: ['terminal-1'] }, page),
    },
    {
      name: 'what was missed yesterday, in the whole fleet',
      ...findChecksStatement({ ...yesterday, outcomes: ['missed'] }, page),
    },
    {
      name: "one driver's 90 days",
      ...findChecksStatement({ sinceMs: untilMs - 90 * dayMs, untilMs, drivers: ['D-7'] }, page),
    },
    {
      name: 'one check over a year, by week',
      ...countByWeekStatement('check-2', { sinceMs: untilMs - 365 * dayMs, untilMs, zone: 'America/Chicago' }),
    },
  ];
}

interface PlanNode {
  readonly 'Node Type': string;
  readonly 'Relation Name'?: string;
  readonly 'Index Name'?: string;
  readonly Plans?: readonly PlanNode[];
}

export interface PlanPart {
  /** Such as `Index Scan`. */
  readonly scan: string;
  readonly relation: string;
  readonly index: string | null;
}

/** How the tables are read by a statement, in the order of the plan. */
export async function planOf(engine: Engine, { sql, parameters }: Question): Promise<PlanPart[]> {
  const [row] = await engine.rows(`explain (format json) ${sql}`, parameters);
  const [{ Plan: top }] = JSON.parse(row![0] as string) as [{ Plan: PlanNode }];
  const parts: PlanPart[] = [];
  const visit = (node: PlanNode): void => {
    if (/Scan$/.test(node['Node Type']) && (node['Relation Name'] ?? node['Index Name']) !== undefined) {
      const index = node['Index Name'] ?? null;
      parts.push({ scan: node['Node Type'], relation: node['Relation Name'] ?? '', index });
    }
    for (const below of node.Plans ?? []) visit(below);
  };
  visit(top);
  return parts;
}
