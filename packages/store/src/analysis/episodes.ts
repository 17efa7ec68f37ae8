/**
 * Episodes of a vehicle as the last analysis found them. What it finds again unchanged is left alone; what it finds changed
 * keeps its id and leaves what it said before in the history; what it finds no more is withdrawn, never deleted.
 */
import type { WireEpisode } from '@gearhold/policy';
import type { Statements, Transaction } from '../engine/engine.ts';
import { instant } from '../engine/values.ts';
import { readChecks } from './checks.ts';
import type { StoredSpan } from './reconcile.ts';

/** What is stored of an episode beside its wire form. */
export interface EpisodeStanding {
  readonly policyId: string;
  /** Whether the departure (or clearing) was seen. */
  readonly closed: boolean;
  /** Each null where it is not stated: whose yard it was in, and whose truck it was. */
  readonly siteTerminal: string | null;
  readonly vehicleTerminal: string | null;
  /** The driver's own terminal on that day. */
  readonly driverTerminal: string | null;
}

export interface StoredEpisode extends EpisodeStanding, StoredSpan {
  /** Where it belongs: the site's terminal, else the vehicle's. */
  readonly terminal: string | null;
  readonly vehicleId: string;
  readonly revision: number;
  /** ms since the epoch. */
  readonly firstSeenMs: number;
  readonly changedMs: number;
  /** With the stored id, and its checks; of a withdrawn one, what it said last. */
  readonly wire: WireEpisode;
}

export interface EpisodeRow extends Omit<StoredEpisode, 'wire'> {
  readonly document: string;
}

export const episodeColumns = `e.episode_id as "episodeId", e.vehicle_id as "vehicleId", e.kind, e.start_time as "startMs",
  e.load_transfer_time as "loadTransferMs", e.end_time as "endMs", e.state, e.revision, e.closed, e.terminal,
  e.site_terminal as "siteTerminal", e.vehicle_terminal as "vehicleTerminal", e.driver_terminal as "driverTerminal", e.policy_id as "policyId", e.first_seen as "firstSeenMs",
  e.changed_at as "changedMs", e.document`;

/** Episodes of a vehicle whose load transfer lies within [fromMs, untilMs), withdrawn ones included, in order. */
export async function episodesOfVehicle(
  statements: Statements,
  vehicleId: string,
  span: { readonly fromMs: number; readonly untilMs: number },
): Promise<StoredEpisode[]> {
  const rows = await statements.query<EpisodeRow>(
    `select ${episodeColumns} from episode e
    where e.vehicle_id = $1 and e.load_transfer_time >= $2 and e.load_transfer_time < $3
    order by e.load_transfer_time, e.episode_id`,
    [vehicleId, instant(span.fromMs), instant(span.untilMs)],
  );
  return withChecks(statements, rows);
}

/** Active episodes of all vehicles whose load transfer lies within [fromMs, untilMs), by time, then vehicle. */
export async function episodesBetween(
  statements: Statements,
  span: { readonly fromMs: number; readonly untilMs: number },
): Promise<StoredEpisode[]> {
  const rows = await statements.query<EpisodeRow>(
    `select ${episodeColumns} from episode e
    where e.state = 'active' and e.load_transfer_time >= $1 and e.load_transfer_time < $2
    order by e.load_transfer_time, e.vehicle_id, e.episode_id`,
    [instant(span.fromMs), instant(span.untilMs)],
  );
  return withChecks(statements, rows);
}

export async function readEpisode(statements: Statements, episodeId: string): Promise<StoredEpisode | null> {
  const rows = await statements.query<EpisodeRow>(`select ${episodeColumns} from episode e where e.episode_id = $1`, [
    episodeId,
  ]);
  const [episode] = await withChecks(statements, rows);
  return episode ?? null;
}

export async function withChecks(statements: Statements, rows: readonly EpisodeRow[]): Promise<StoredEpisode[]> {
  const active = rows.filter(({ state }) => state === 'active').map(({ episodeId }) => episodeId);
  const checks = active.length === 0 ? new Map() : await readChecks(statements, active);
  return rows.map(({ document, ...row }) => {
    const said = JSON.parse(document) as WireEpisode;
    // A withdrawn one keeps its whole wire form in the document: its checks count no more.
    return { ...row, wire: row.state === 'active' ? { ...said, checks: checks.get(row.episodeId) } : said };
  });
}

/** What an episode said, revision by revision, oldest first; what it says now stands in the episode. */
export interface EpisodeHistoryEntry {
  readonly revision: number;
  readonly state: 'active' | 'withdrawn';
  readonly policyId: string;
  readonly saidFromMs: number;
  readonly saidUntilMs: number;
  readonly wire: WireEpisode;
}

export async function episodeHistory(statements: Statements, episodeId: string): Promise<EpisodeHistoryEntry[]> {
  const rows = await statements.query<Omit<EpisodeHistoryEntry, 'wire'> & { document: string }>(
    `select revision, state, policy_id as "policyId", said_from as "saidFromMs", said_until as "saidUntilMs", document
    from episode_history where episode_id = $1 order by revision`,
    [episodeId],
  );
  return rows.map(({ document, ...row }) => ({ ...row, wire: JSON.parse(document) as WireEpisode }));
}

/** Puts an episode in the table under its id, for the first time (`revision` 1) or anew. Its checks are not touched. */
export async function putEpisode(
  transaction: Transaction,
  wire: WireEpisode,
  standing: EpisodeStanding,
  is: { readonly state: 'active' | 'withdrawn'; readonly revision: number },
  nowMs: number,
): Promise<void> {
  const { checks: _, ...withoutChecks } = wire;
  await transaction.query(
    `insert into episode as known (episode_id, vehicle_id, kind, start_time, load_transfer_time, end_time, driver_id,
      driver_basis, site_id, terminal, site_terminal, vehicle_terminal, driver_terminal, confidence, closed, document, policy_id, state, revision,
      first_seen, changed_at)
    values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19, $20, $20)
    on conflict (episode_id) do update set start_time = excluded.start_time,
      load_transfer_time = excluded.load_transfer_time, end_time = excluded.end_time, driver_id = excluded.driver_id,
      driver_basis = excluded.driver_basis, site_id = excluded.site_id, terminal = excluded.terminal,
      site_terminal = excluded.site_terminal, vehicle_terminal = excluded.vehicle_terminal, driver_terminal = excluded.driver_terminal, confidence = excluded.confidence, closed = excluded.closed,
      document = excluded.document, policy_id = excluded.policy_id, state = excluded.state, revision = excluded.revision,
      changed_at = greatest(known.first_seen, excluded.changed_at)`,
    [
      wire.episodeId,
      wire.vehicleId,
      wire.kind,
      wire.startTime,
      wire.loadTransferTime,
      wire.endTime,
      wire.driverId,
      wire.driverBasis,
      wire.siteId,
      standing.siteTerminal ?? standing.vehicleTerminal,
      standing.siteTerminal,
      standing.vehicleTerminal,
      standing.driverTerminal,
      wire.confidence,
      standing.closed,
      JSON.stringify(is.state === 'active' ? withoutChecks : wire),
      standing.policyId,
      is.state,
      is.revision,
      instant(nowMs),
    ],
  );
}

/** Keeps what an episode says now as history, before it is changed. */
export async function keepHistory(transaction: Transaction, episode: StoredEpisode, nowMs: number): Promise<void> {
  await transaction.query(
    `insert into episode_history (episode_id, revision, state, document, policy_id, said_from, said_until)
    values ($1, $2, $3, $4, $5, $6, greatest($6::timestamptz, $7::timestamptz))`,
    [
      episode.episodeId,
      episode.revision,
      episode.state,
      JSON.stringify(episode.wire),
      episode.policyId,
      instant(episode.changedMs),
      instant(nowMs),
    ],
  );
}
