/** What the data prove was missed, beside its episode: opened, withdrawn and opened again as the analysis says, never deleted. */
import type { Transaction } from '../engine/engine.ts';
import { instant } from '../engine/values.ts';

export interface AnomalyChange {
  readonly anomalyId: string;
  readonly change: 'added' | 'withdrawn' | 'returned' | 'changed';
}

/**
 * Brings the anomalies of an episode in line with the checks that it is now proven to have missed.
 *
 * @param arrivedLate whether those that are new were found from data that came after the day's digest
 */
export async function settleAnomalies(
  transaction: Transaction,
  episodeId: string,
  missed: readonly string[],
  arrivedLate: boolean,
  nowMs: number,
): Promise<AnomalyChange[]> {
  const stored = await transaction.query<{ anomalyId: string; check: string; state: 'open' | 'withdrawn' }>(
    `select anomaly_id as "anomalyId", check_name as "check", state from anomaly where episode_id = $1 order by anomaly_id`,
    [episodeId],
  );
  const changes: AnomalyChange[] = [];
  for (const { anomalyId, check, state } of stored) {
    const isMissed = missed.includes(check);
    if (isMissed === (state === 'open')) {
      if (isMissed) changes.push({ anomalyId, change: 'changed' });
      continue;
    }
    await transaction.query(
      'update anomaly set state = $2, changed_at = greatest(first_seen, $3) where anomaly_id = $1',
      [anomalyId, isMissed ? 'open' : 'withdrawn', instant(nowMs)],
    );
    changes.push({ anomalyId, change: isMissed ? 'returned' : 'withdrawn' });
  }
  for (const check of missed) {
    if (stored.some((anomaly) => anomaly.check === check)) continue;
    const anomalyId = `${episodeId}/${check}`;
    await transaction.query(
      `insert into anomaly (anomaly_id, episode_id, check_name, state, arrived_late, first_seen, changed_at)
      values ($1, $2, $3, 'open', $4, $5, $5)`,
      [anomalyId, episodeId, check, arrivedLate, instant(nowMs)],
    );
    changes.push({ anomalyId, change: 'added' });
  }
  return changes;
}
