/**
 * The analyst's question: checks of active episodes by any of the filters, in pages that neither skip nor repeat. A page
 * goes on after the last row of the one before by its key (load transfer, episode, place of the check), so that rows which
 * arrive meanwhile move nothing.
 */
import type { Concern, Outcome, Urgency, WireCheck, WireEpisode } from '@gearhold/policy';
import { type CheckRow, checkColumns, wireCheckOf } from '../analysis/checks.ts';
import type { Parameter, Statements } from '../engine/engine.ts';
import { instant } from '../engine/values.ts';
import { visible } from './find-episodes.ts';

/** Every filter that is given must hold; of several values in one, any. */
export interface CheckFilter {
  /** Load transfer, included, ms since the epoch. */
  readonly sinceMs?: number | undefined;
  /** Load transfer, not included. */
  readonly untilMs?: number | undefined;
  readonly drivers?: readonly string[] | undefined;
  readonly vehicles?: readonly string[] | undefined;
  readonly sites?: readonly string[] | undefined;
  readonly terminals?: readonly string[] | undefined;
  readonly checks?: readonly string[] | undefined;
  readonly kinds?: readonly string[] | undefined;
  readonly outcomes?: readonly Outcome[] | undefined;
  readonly concerns?: readonly Concern[] | undefined;
  readonly urgencies?: readonly Urgency[] | undefined;
  /** When the anomaly was first seen, included, ms since the epoch: asks for anomalies only. */
  readonly firstSeenSinceMs?: number | undefined;
  /** Terminals whose matters may be seen; null or left out: all. */
  readonly visibleTo?: readonly string[] | null | undefined;
}

export interface CheckPage {
  readonly order: 'oldest-first' | 'newest-first';
  /** Most rows. */
  readonly limit: number;
  /** Of the last row of the page before. */
  readonly after?: CheckKey | undefined;
}

export interface CheckKey {
  readonly loadTransferMs: number;
  readonly episodeId: string;
  readonly position: number;
}

export interface FoundCheck extends CheckKey {
  readonly vehicleId: string;
  readonly kind: string;
  readonly driverId: string | null;
  readonly driverBasis: string;
  readonly siteId: string | null;
  readonly terminal: string | null;
  readonly driverTerminal: string | null;
  readonly revision: number;
  readonly policyId: string;
  readonly check: WireCheck;
  /** Null where the check was not missed. */
  readonly anomaly: {
    readonly anomalyId: string;
    readonly arrivedLate: boolean;
    readonly firstSeenMs: number;
    readonly changedMs: number;
  } | null;
  /** The episode's wire form, without its checks. */
  readonly episode: Omit<WireEpisode, 'checks'>;
}

interface Row extends CheckRow, Omit<FoundCheck, 'check' | 'anomaly' | 'episode'> {
  readonly document: string;
  readonly anomalyId: string | null;
  readonly arrivedLate: boolean | null;
  readonly anomalyFirstSeenMs: number | null;
  readonly anomalyChangedMs: number | null;
}

/** One page of checks. */
export async function findChecks(statements: Statements, filter: CheckFilter, page: CheckPage): Promise<FoundCheck[]> {
  const { sql, parameters } = findChecksStatement(filter, page);
  return (await statements.query<Row>(sql, parameters)).map(foundCheck);
}

/** All checks that a filter finds, page by page. */
export async function* allChecks(
  statements: Statements,
  filter: CheckFilter,
  page: Omit<CheckPage, 'after'>,
): AsyncGenerator<FoundCheck> {
  let after: CheckKey | undefined;
  for (;;) {
    const found = await findChecks(statements, filter, { ...page, after });
    yield* found;
    if (found.length < page.limit) return;
    after = found.at(-1);
  }
}

/** The statement behind {@link findChecks}: a bench and a test look at its plan. */
export function findChecksStatement(
  filter: CheckFilter,
  page: CheckPage,
): { readonly sql: string; readonly parameters: Parameter[] } {
  const parameters: Parameter[] = [];
  const conditions: string[] = [];
  const parameter = (value: Parameter): string => `$${parameters.push(value)}`;
  const among = (column: string, values: readonly string[] | undefined): void => {
    if (values === undefined) return;
    // One value by equality: an index then also gives the order behind it.
    const [only] = values;
    if (values.length === 1) conditions.push(`${column} = ${parameter(only!)}`);
    else conditions.push(`${column} = any (${parameter(values)}::text[])`);
  };
  // The time stands in both tables, and either may be the one to begin with.
  if (filter.sinceMs !== undefined) {
    const since = parameter(instant(filter.sinceMs));
    conditions.push(`e.load_transfer_time >= ${since}`, `c.load_transfer_time >= ${since}`);
  }
  if (filter.untilMs !== undefined) {
    const until = parameter(instant(filter.untilMs));
    conditions.push(`e.load_transfer_time < ${until}`, `c.load_transfer_time < ${until}`);
  }
  among('e.driver_id', filter.drivers);
  among('e.vehicle_id', filter.vehicles);
  among('e.site_id', filter.sites);
  among('e.terminal', filter.terminals);
  among('e.kind', filter.kinds);
  among('c.check_name', filter.checks);
  among('c.concern', filter.concerns);
  among('c.urgency', filter.urgencies);
  // Written out, so that the index of the missed ones can serve.
  if (filter.outcomes?.length === 1 && filter.outcomes[0] === 'missed') conditions.push(`c.outcome = 'missed'`);
  else among('c.outcome', filter.outcomes);
  if (filter.firstSeenSinceMs !== undefined) {
    conditions.push(`a.state = 'open' and a.first_seen >= ${parameter(instant(filter.firstSeenSinceMs))}`);
  }
  if (filter.visibleTo != null) conditions.push(visible(parameter(filter.visibleTo)));
  // Which side leads: the episode's indexes begin with what narrows an episode, else the check's.
  const byEpisode = filter.drivers ?? filter.vehicles ?? filter.sites ?? filter.terminals;
  const lead = byEpisode === undefined ? 'c' : 'e';
  const [direction, beyond] = page.order === 'oldest-first' ? ['asc', '>'] : ['desc', '<'];
  if (page.after !== undefined) {
    const time = parameter(instant(page.after.loadTransferMs));
    const id = parameter(page.after.episodeId);
    const position = parameter(page.after.position);
    const key = `(${lead}.load_transfer_time, ${lead}.episode_id)`;
    conditions.push(`${key} ${beyond}= (${time}, ${id})`);
    conditions.push(`(${key} <> (${time}, ${id}) or c.position ${beyond} ${position})`);
  }
  const where = conditions.length === 0 ? '' : `where ${conditions.join(' and ')}`;
  const sql = `select e.load_transfer_time as "loadTransferMs", e.episode_id as "episodeId", c.position,
      e.vehicle_id as "vehicleId", e.kind, e.driver_id as "driverId", e.driver_basis as "driverBasis",
      e.site_id as "siteId", e.terminal, e.driver_terminal as "driverTerminal", e.revision,
      e.policy_id as "policyId", e.document, ${checkColumns},
      a.anomaly_id as "anomalyId", a.arrived_late as "arrivedLate", a.first_seen as "anomalyFirstSeenMs",
      a.changed_at as "anomalyChangedMs"
    from check_result c
    join episode e on e.episode_id = c.episode_id
    left join anomaly a on c.outcome = 'missed' and a.anomaly_id = c.episode_id || '/' || c.check_name
    ${where}
    order by ${lead}.load_transfer_time ${direction}, ${lead}.episode_id ${direction}, c.position ${direction}
    limit ${parameter(page.limit)}`;
  return { sql, parameters };
}

function foundCheck(row: Row): FoundCheck {
  return {
    loadTransferMs: row.loadTransferMs,
    episodeId: row.episodeId,
    position: row.position,
    vehicleId: row.vehicleId,
    kind: row.kind,
    driverId: row.driverId,
    driverBasis: row.driverBasis,
    siteId: row.siteId,
    terminal: row.terminal,
    driverTerminal: row.driverTerminal,
    revision: row.revision,
    policyId: row.policyId,
    check: wireCheckOf(row),
    anomaly:
      row.anomalyId === null
        ? null
        : {
            anomalyId: row.anomalyId,
            arrivedLate: row.arrivedLate!,
            firstSeenMs: row.anomalyFirstSeenMs!,
            changedMs: row.anomalyChangedMs!,
          },
    episode: JSON.parse(row.document) as Omit<WireEpisode, 'checks'>,
  };
}
