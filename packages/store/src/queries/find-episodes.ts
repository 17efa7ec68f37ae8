/**
 * Episodes by any of the filters, newest first, in pages that neither skip nor repeat: a page goes on after the last row of the one
 * before by its load transfer and id. Who may see only some terminals sees an episode of the terminal of its driver, its site or
 * its vehicle.
 */
import { type EpisodeRow, episodeColumns, type StoredEpisode, withChecks } from '../analysis/episodes.ts';
import type { Parameter, Statements } from '../engine/engine.ts';
import { instant } from '../engine/values.ts';

export interface EpisodeFilter {
  /** Load transfer, included, ms since the epoch. */
  readonly sinceMs?: number | undefined;
  /** Load transfer, not included. */
  readonly untilMs?: number | undefined;
  readonly driver?: string | undefined;
  readonly vehicle?: string | undefined;
  readonly site?: string | undefined;
  /** Of the site, else the vehicle. */
  readonly terminal?: string | undefined;
  readonly kind?: string | undefined;
  readonly state?: 'active' | 'withdrawn' | undefined;
  /** Terminals whose matters may be seen; null: all. */
  readonly visibleTo: readonly string[] | null;
}

export interface EpisodeKey {
  readonly loadTransferMs: number;
  readonly episodeId: string;
}

export async function findEpisodes(
  statements: Statements,
  filter: EpisodeFilter,
  limit: number,
  after: EpisodeKey | null,
): Promise<StoredEpisode[]> {
  const { sql, parameters } = findEpisodesStatement(filter, limit, after);
  return withChecks(statements, await statements.query<EpisodeRow>(sql, parameters));
}

/** The statement behind {@link findEpisodes}: a test looks at its plan. */
export function findEpisodesStatement(
  filter: EpisodeFilter,
  limit: number,
  after: EpisodeKey | null,
): { readonly sql: string; readonly parameters: Parameter[] } {
  const parameters: Parameter[] = [];
  const conditions: string[] = [];
  const parameter = (value: Parameter): string => `$${parameters.push(value)}`;
  const equal = (column: string, value: string | undefined): void => {
    if (value !== undefined) conditions.push(`e.${column} = ${parameter(value)}`);
  };
  if (filter.sinceMs !== undefined) conditions.push(`e.load_transfer_time >= ${parameter(instant(filter.sinceMs))}`);
  if (filter.untilMs !== undefined) conditions.push(`e.load_transfer_time < ${parameter(instant(filter.untilMs))}`);
  equal('driver_id', filter.driver);
  equal('vehicle_id', filter.vehicle);
  equal('site_id', filter.site);
  equal('terminal', filter.terminal);
  equal('kind', filter.kind);
  equal('state', filter.state);
  if (filter.visibleTo !== null) conditions.push(visible(parameter(filter.visibleTo)));
  if (after !== null) {
    const key = `(${parameter(instant(after.loadTransferMs))}, ${parameter(after.episodeId)})`;
    conditions.push(`(e.load_transfer_time, e.episode_id) < ${key}`);
  }
  const where = conditions.length === 0 ? '' : `where ${conditions.join(' and ')}`;
  const sql = `select ${episodeColumns} from episode e ${where}
    order by e.load_transfer_time desc, e.episode_id desc limit ${parameter(limit)}`;
  return { sql, parameters };
}

/** Whether episode `e` is seen by the terminals of a parameter. */
export function visible(terminals: string): string {
  return `(e.driver_terminal = any (${terminals}::text[]) or e.site_terminal = any (${terminals}::text[])
    or e.vehicle_terminal = any (${terminals}::text[]))`;
}

/**
 * Whether an anomaly of episode `e` is seen by them; its concern stands in the table `of`. A driver's matter goes to the driver's
 * terminal, a yard's to the site's, a shop's to the vehicle's, and one that may be anyone's to each.
 */
export function anomalyVisible(of: string, terminals: string): string {
  return `case ${of}.concern when 'driver' then e.driver_terminal = any (${terminals}::text[])
    when 'yard' then e.site_terminal = any (${terminals}::text[])
    when 'shop' then e.vehicle_terminal = any (${terminals}::text[])
    else ${visible(terminals)} end`;
}
