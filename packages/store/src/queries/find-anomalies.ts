/**
 * Anomalies with the state of their cases, by any of the filters, in one of two orders: by time, or as an analyst works through them
 * (urgent first, then severe ones, then new ones). A page goes on after the last row of the one before by its key.
 */
import type { WireCheck } from '@gearhold/policy';
import { urgencyRanks } from '../analysis/anomalies.ts';
import type { Parameter, Statements } from '../engine/engine.ts';
import { instant } from '../engine/values.ts';
import { anomalyVisible } from './find-episodes.ts';

export type AnomalyOrder = 'time' | 'gravity';

export interface AnomalyFilter {
  /** Load transfer, included, ms since the epoch. */
  readonly sinceMs?: number | undefined;
  /** Load transfer, not included. */
  readonly untilMs?: number | undefined;
  readonly driver?: string | undefined;
  readonly vehicle?: string | undefined;
  readonly site?: string | undefined;
  readonly terminal?: string | undefined;
  readonly check?: string | undefined;
  readonly concern?: string | undefined;
  readonly urgency?: 'urgent' | 'today' | 'routine' | undefined;
  /** Of the case; `unsettled`: neither dismissed nor closed, and not withdrawn. */
  readonly caseState?: string | undefined;
  readonly anomalyIds?: readonly string[] | undefined;
  /** Terminals whose matters may be seen; null: all. */
  readonly visibleTo: readonly string[] | null;
}

export interface FoundAnomaly {
  readonly anomalyId: string;
  readonly episodeId: string;
  readonly vehicleId: string;
  readonly kind: string;
  readonly driverId: string | null;
  readonly siteId: string | null;
  readonly confidence: number;
  readonly driverTerminal: string | null;
  readonly siteTerminal: string | null;
  readonly vehicleTerminal: string | null;
  readonly loadTransferMs: number;
  readonly check: WireCheck;
  /** 0 urgent, 1 today, 2 routine. */
  readonly urgencyRank: number;
  readonly severity: number;
  readonly withdrawn: boolean;
  readonly arrivedLate: boolean;
  readonly firstSeenMs: number;
  readonly caseState: string;
  readonly assigneeId: string | null;
  readonly judged: string | null;
  readonly lastReviewId: number | null;
}

/** Values of the sort key: of `time` the load transfer and the id, of `gravity` urgency and severity before them. */
export type AnomalyKey = readonly (string | number)[];

export function anomalyKey(order: AnomalyOrder, found: FoundAnomaly): AnomalyKey {
  const byTime = [found.loadTransferMs, found.anomalyId];
  return order === 'time' ? byTime : [found.urgencyRank, found.severity, ...byTime];
}

interface Row extends Omit<FoundAnomaly, 'check'> {
  readonly document: string;
}

export async function findAnomalies(
  statements: Statements,
  filter: AnomalyFilter,
  order: AnomalyOrder,
  limit: number,
  after: AnomalyKey | null,
): Promise<FoundAnomaly[]> {
  const { sql, parameters } = findAnomaliesStatement(filter, order, limit, after);
  const rows = await statements.query<Row>(sql, parameters);
  return rows.map(({ document, ...row }) => ({ ...row, check: JSON.parse(document) as WireCheck }));
}

/** The statement behind {@link findAnomalies}: a test looks at its plan. */
export function findAnomaliesStatement(
  filter: AnomalyFilter,
  order: AnomalyOrder,
  limit: number,
  after: AnomalyKey | null,
): { readonly sql: string; readonly parameters: Parameter[] } {
  const parameters: Parameter[] = [];
  const conditions = ['a.document is not null'];
  const parameter = (value: Parameter): string => `$${parameters.push(value)}`;
  const equal = (column: string, value: string | number | undefined): void => {
    if (value !== undefined) conditions.push(`${column} = ${parameter(value)}`);
  };
  if (filter.sinceMs !== undefined) conditions.push(`a.load_transfer_time >= ${parameter(instant(filter.sinceMs))}`);
  if (filter.untilMs !== undefined) conditions.push(`a.load_transfer_time < ${parameter(instant(filter.untilMs))}`);
  equal('e.driver_id', filter.driver);
  equal('e.vehicle_id', filter.vehicle);
  equal('e.site_id', filter.site);
  equal('e.terminal', filter.terminal);
  equal('a.check_name', filter.check);
  equal('a.concern', filter.concern);
  equal('a.urgency', filter.urgency && urgencyRanks[filter.urgency]);
  if (filter.anomalyIds !== undefined) conditions.push(`a.anomaly_id = any (${parameter(filter.anomalyIds)}::text[])`);
  // Written out, so that the index of the unsettled ones can serve.
  if (filter.caseState === 'unsettled') {
    conditions.push(`a.state = 'open' and a.case_state not in ('dismissed', 'closed')`);
  } else equal('a.case_state', filter.caseState);
  if (filter.visibleTo !== null) conditions.push(anomalyVisible('a', parameter(filter.visibleTo)));
  if (after !== null) conditions.push(beyond(order, after, parameter));
  const sorted =
    order === 'time'
      ? 'a.load_transfer_time desc, a.anomaly_id desc'
      : 'a.urgency, a.severity desc, a.load_transfer_time desc, a.anomaly_id';
  const sql = `select a.anomaly_id as "anomalyId", a.episode_id as "episodeId", e.vehicle_id as "vehicleId", e.kind,
      e.driver_id as "driverId", e.site_id as "siteId", e.confidence, e.driver_terminal as "driverTerminal",
      e.site_terminal as "siteTerminal", e.vehicle_terminal as "vehicleTerminal",
      a.load_transfer_time as "loadTransferMs", a.document, a.urgency as "urgencyRank", a.severity,
      a.state = 'withdrawn' as withdrawn, a.arrived_late as "arrivedLate", a.first_seen as "firstSeenMs",
      a.case_state as "caseState", a.assignee_id as "assigneeId", a.judged, a.last_review_id as "lastReviewId"
    from anomaly a join episode e on e.episode_id = a.episode_id
    where ${conditions.join(' and ')}
    order by ${sorted} limit ${parameter(limit)}`;
  return { sql, parameters };
}

function beyond(order: AnomalyOrder, after: AnomalyKey, parameter: (value: Parameter) => string): string {
  if (order === 'time') {
    const [timeMs, id] = after as [number, string];
    return `(a.load_transfer_time, a.anomaly_id) < (${parameter(instant(timeMs))}, ${parameter(id)})`;
  }
  const [urgency, severity, timeMs, id] = after as [number, number, number, string];
  const [u, s, t, i] = [parameter(urgency), parameter(severity), parameter(instant(timeMs)), parameter(id)];
  // Two of the parts fall and two rise, so that no row comparison says it; the first part lets the index begin in place.
  return `a.urgency >= ${u} and (a.urgency > ${u} or a.severity < ${s}
    or (a.severity = ${s} and (a.load_transfer_time < ${t} or (a.load_transfer_time = ${t} and a.anomaly_id > ${i}))))`;
}
