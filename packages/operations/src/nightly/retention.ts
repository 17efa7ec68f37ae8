/** What goes at night: readings and evidence that retention has had its time with, but for what a hold keeps. */
import { compressReadings, type Engine, pruneEvidence, pruneReadings, pruneRejects } from '@gearhold/store';
import type { PruneTally } from './outcome.ts';

const dayMs = 86_400_000;

/** Readings are compressed, where the database can, when few of them will still change: late ones have mostly come by then. */
const compressDays = 14;

export interface Retention {
  /** Readings and rejected rows of so many days are kept; null: for ever. */
  readonly keepDays: number | null;
  /** Evidence of episodes of so many days is kept; null: for ever. */
  readonly keepEvidenceDays: number | null;
}

/** Each vehicle's readings, the evidence and the rejects go in transactions of their own. Doing it twice is doing it once. */
export async function prune(engine: Engine, retention: Retention, nowMs: number): Promise<PruneTally | null> {
  const pruned = await pruneOld(engine, retention, nowMs);
  await compressReadings(engine, nowMs - compressDays * dayMs);
  return pruned;
}

async function pruneOld(engine: Engine, retention: Retention, nowMs: number): Promise<PruneTally | null> {
  const { keepDays, keepEvidenceDays } = retention;
  if (keepDays === null && keepEvidenceDays === null) return null;
  const evidence = keepEvidenceDays === null ? 0 : await pruneEvidence(engine, nowMs - keepEvidenceDays * dayMs);
  if (keepDays === null) return { readings: 0, rejects: 0, evidence };
  const beforeMs = nowMs - keepDays * dayMs;
  const { rows } = await pruneReadings(engine, beforeMs);
  return { readings: rows, rejects: await pruneRejects(engine, beforeMs), evidence };
}
