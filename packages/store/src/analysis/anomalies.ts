/** What the data prove was missed, beside its episode: opened, withdrawn and opened again as the analysis says, never deleted. */
import type { WireCheck } from '@gearhold/policy';
import type { Transaction } from '../engine/engine.ts';
import { instant } from '../engine/values.ts';

export interface AnomalyChange {
  readonly anomalyId: string;
  readonly change: 'added' | 'withdrawn' | 'returned' | 'changed';
}

export interface MissedCheck {
  readonly check: WireCheck;
  /** What to look at first, 0 to 1. */
  readonly severity: number;
}

/** How the urgency is sorted. */
export const urgencyRanks = { urgent: 0, today: 1, routine: 2 } as const;

/**
 * Brings the anomalies of an episode, which stands in its table already, in line with the checks that it is now proven to have
 * missed. One that is withdrawn still says what it said last.
 *
 * @param arrivedLate whether those that are new were found from data that came after the day's digest
 */
export async function settleAnomalies(
  transaction: Transaction,
  episodeId: string,
  missed: readonly MissedCheck[],
  arrivedLate: boolean,
  nowMs: number,
): Promise<AnomalyChange[]> {
  const stored = await transaction.query<{ anomalyId: string; check: string; state: 'open' | 'withdrawn' }>(
    `select anomaly_id as "anomalyId", check_name as "check", state from anomaly where episode_id = $1 order by anomaly_id`,
    [episodeId],
  );
  const changes: AnomalyChange[] = [];
  for (const { anomalyId, check, state } of stored) {
    if (state === 'withdrawn' || missed.some((now) => now.check.check === check)) continue;
    await transaction.query(
      `update anomaly set state = 'withdrawn', changed_at = greatest(first_seen, $2) where anomaly_id = $1`,
      [anomalyId, instant(nowMs)],
    );
    changes.push({ anomalyId, change: 'withdrawn' });
  }
  for (const { check, severity } of missed) {
    const anomalyId = `${episodeId}/${check.check}`;
    const known = stored.find((anomaly) => anomaly.anomalyId === anomalyId);
    await transaction.query(
      `insert into anomaly as known (anomaly_id, episode_id, check_name, state, arrived_late, first_seen, changed_at,
        load_transfer_time, concern, urgency, severity, document)
      select $1, $2, $3, 'open', $4, $5, $5, load_transfer_time, $6, $7, $8, $9 from episode where episode_id = $2
      on conflict (anomaly_id) do update set state = 'open', changed_at = greatest(known.first_seen, excluded.changed_at),
        load_transfer_time = excluded.load_transfer_time, concern = excluded.concern, urgency = excluded.urgency,
        severity = excluded.severity, document = excluded.document`,
      [
        anomalyId,
        episodeId,
        check.check,
        arrivedLate,
        instant(nowMs),
        check.concern,
        urgencyRanks[check.urgency],
        severity,
        JSON.stringify(check),
      ],
    );
    const change = known === undefined ? 'added' : known.state === 'open' ? 'changed' : 'returned';
    changes.push({ anomalyId, change });
  }
  return changes;
}
