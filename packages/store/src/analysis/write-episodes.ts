/**
 * What an analysis found of one vehicle between two instants, against what is stored: one step of the transaction that also
 * replaces stretches and moves `dirty_from`. The caller holds the vehicle's lock.
 */
import type { WireEpisode } from '@gearhold/policy';
import { type Change, noteChanges } from '../changes.ts';
import type { Transaction } from '../engine/engine.ts';
import { type MissedCheck, settleAnomalies } from './anomalies.ts';
import { insertChecks } from './checks.ts';
import { type EpisodeStanding, episodesOfVehicle, keepHistory, putEpisode, type StoredEpisode } from './episodes.ts';
import { type EvidenceRows, storeEvidence } from './evidence.ts';
import { reconcile } from './reconcile.ts';

export interface FoundEpisode extends EpisodeStanding {
  readonly wire: WireEpisode;
  /** The readings around it; null leaves what is stored. */
  readonly evidence: EvidenceRows | null;
  /** How severe each check that it missed is, 0 to 1, by check: what to look at first. */
  readonly severities: Readonly<Record<string, number>>;
  /** Whether it rests on data that came after the day's digest. */
  readonly arrivedLate: boolean;
}

export interface WrittenEpisodes {
  readonly added: readonly string[];
  readonly changed: readonly string[];
  readonly withdrawn: readonly string[];
  /** Withdrawn once, and found again. */
  readonly returned: readonly string[];
  readonly unchanged: readonly string[];
}

/**
 * Writes the episodes of a vehicle whose load transfer lies within [fromMs, untilMs); `found` must be all of them. What lies
 * before the vehicle's `pruned_before` is never touched: its readings are gone, so nothing speaks against it.
 */
export async function writeEpisodes(
  transaction: Transaction,
  vehicleId: string,
  span: { readonly fromMs: number; readonly untilMs: number },
  found: readonly FoundEpisode[],
  nowMs: number,
): Promise<WrittenEpisodes> {
  const [progress] = await transaction.query<{ prunedBeforeMs: number | null }>(
    'select pruned_before as "prunedBeforeMs" from vehicle_progress where vehicle_id = $1',
    [vehicleId],
  );
  const fromMs = Math.max(span.fromMs, progress?.prunedBeforeMs ?? Number.NEGATIVE_INFINITY);
  const stored = await episodesOfVehicle(transaction, vehicleId, { fromMs, untilMs: span.untilMs });
  const now = found.filter(({ wire }) => Date.parse(wire.loadTransferTime) >= fromMs);
  const matches = reconcile(
    stored,
    now.map(({ wire }) => ({
      kind: wire.kind,
      startMs: Date.parse(wire.startTime),
      loadTransferMs: Date.parse(wire.loadTransferTime),
      endMs: Date.parse(wire.endTime),
    })),
  );
  const writer = new EpisodeWriter(transaction, nowMs);
  // Withdrawn first, so that an id that is free again can be given.
  for (const episode of stored) {
    if (episode.state === 'active' && !matches.includes(episode)) await writer.withdraw(episode);
  }
  for (const [index, episode] of now.entries()) await writer.write(episode, matches[index]!);
  await noteChanges(transaction, writer.changes, nowMs);
  return writer.written;
}

class EpisodeWriter {
  readonly written = {
    added: [] as string[],
    changed: [] as string[],
    withdrawn: [] as string[],
    returned: [] as string[],
    unchanged: [] as string[],
  };
  readonly changes: Omit<Change, 'changeId' | 'atMs'>[] = [];
  readonly #transaction: Transaction;
  readonly #nowMs: number;

  constructor(transaction: Transaction, nowMs: number) {
    this.#transaction = transaction;
    this.#nowMs = nowMs;
  }

  async write(found: FoundEpisode, stored: StoredEpisode | null): Promise<void> {
    if (stored === null) {
      const wire = { ...found.wire, episodeId: await this.#freeId(found.wire.episodeId) };
      await this.#put(found, wire, 1, 'added');
      return;
    }
    const wire = { ...found.wire, episodeId: stored.episodeId };
    if (saysTheSame(stored, found, wire)) {
      this.written.unchanged.push(stored.episodeId);
      if (found.evidence !== null) await storeEvidence(this.#transaction, stored.episodeId, found.evidence);
      return;
    }
    await keepHistory(this.#transaction, stored, this.#nowMs);
    await this.#removeChecks(stored.episodeId);
    await this.#put(found, wire, stored.revision + 1, stored.state === 'active' ? 'changed' : 'returned');
  }

  async withdraw(stored: StoredEpisode): Promise<void> {
    const { episodeId } = stored;
    const revision = stored.revision + 1;
    await keepHistory(this.#transaction, stored, this.#nowMs);
    await this.#removeChecks(episodeId);
    await putEpisode(this.#transaction, stored.wire, stored, { state: 'withdrawn', revision }, this.#nowMs);
    this.written.withdrawn.push(episodeId);
    this.changes.push({ subject: 'episode', subjectId: episodeId, change: 'withdrawn', revision });
    await this.#settleAnomalies(episodeId, [], false, revision);
  }

  async #put(
    found: FoundEpisode,
    wire: WireEpisode,
    revision: number,
    change: 'added' | 'changed' | 'returned',
  ): Promise<void> {
    const { episodeId } = wire;
    await putEpisode(this.#transaction, wire, found, { state: 'active', revision }, this.#nowMs);
    await insertChecks(this.#transaction, episodeId, wire.loadTransferTime, wire.checks);
    if (found.evidence !== null) await storeEvidence(this.#transaction, episodeId, found.evidence);
    this.written[change].push(episodeId);
    this.changes.push({ subject: 'episode', subjectId: episodeId, change, revision });
    const missed = wire.checks
      .filter(({ outcome }) => outcome === 'missed')
      .map((check) => ({ check, severity: found.severities[check.check] ?? 0 }));
    await this.#settleAnomalies(episodeId, missed, found.arrivedLate, revision);
  }

  async #settleAnomalies(
    episodeId: string,
    missed: readonly MissedCheck[],
    arrivedLate: boolean,
    revision: number,
  ): Promise<void> {
    const settled = await settleAnomalies(this.#transaction, episodeId, missed, arrivedLate, this.#nowMs);
    for (const { anomalyId, change } of settled) {
      this.changes.push({ subject: 'anomaly', subjectId: anomalyId, change, revision });
    }
  }

  async #removeChecks(episodeId: string): Promise<void> {
    await this.#transaction.query('delete from check_result where episode_id = $1', [episodeId]);
  }

  /** An id is kept for ever: where an episode once got this one and moved away, the new one gets a number behind it. */
  async #freeId(wanted: string): Promise<string> {
    for (let number = 1; ; number++) {
      const id = number === 1 ? wanted : `${wanted}-${number}`;
      const [taken] = await this.#transaction.query('select from episode where episode_id = $1', [id]);
      if (taken === undefined) return id;
    }
  }
}

/** Whether nothing that a person or a program can see would change. */
function saysTheSame(stored: StoredEpisode, found: FoundEpisode, wire: WireEpisode): boolean {
  return (
    stored.state === 'active' &&
    stored.policyId === found.policyId &&
    stored.closed === found.closed &&
    stored.siteTerminal === found.siteTerminal &&
    stored.vehicleTerminal === found.vehicleTerminal &&
    stored.driverTerminal === found.driverTerminal &&
    JSON.stringify(stored.wire) === JSON.stringify(wire)
  );
}
