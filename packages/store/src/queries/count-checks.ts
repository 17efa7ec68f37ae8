/** How often a check came out how, by week: the question over a year, answered from its index alone. */
import type { Outcome } from '@gearhold/policy';
import type { Parameter, Statements } from '../engine/engine.ts';
import { instant } from '../engine/values.ts';

export interface WeekCount {
  /** First day of the week (Monday) in the zone, `YYYY-MM-DD`. */
  readonly week: string;
  readonly outcome: Outcome;
  readonly count: number;
}

export interface WeekSpan {
  /** Included, ms since the epoch. */
  readonly sinceMs: number;
  /** Not included. */
  readonly untilMs: number;
  /** IANA zone in which weeks begin. */
  readonly zone: string;
}

/** Counts of one check by week and outcome, in order. */
export function countByWeek(statements: Statements, check: string, span: WeekSpan): Promise<WeekCount[]> {
  const { sql, parameters } = countByWeekStatement(check, span);
  return statements.query<WeekCount>(sql, parameters);
}

/** The statement behind {@link countByWeek}: a bench and a test look at its plan. */
export function countByWeekStatement(
  check: string,
  span: WeekSpan,
): { readonly sql: string; readonly parameters: Parameter[] } {
  return {
    sql: `select date_trunc('week', load_transfer_time at time zone $4)::date as week, outcome, count(*) as count
      from check_result
      where check_name = $1 and load_transfer_time >= $2 and load_transfer_time < $3
      group by 1, 2 order by 1, 2`,
    parameters: [check, instant(span.sinceMs), instant(span.untilMs), span.zone],
  };
}
