/** What a night came to: what was done, and what somebody should look at. */
import type { DayWindow } from '../day/window.ts';
import type { DigestOutcome } from '../digest/index.ts';
import type { IngestedFile } from '../intake/ingest-file.ts';

/** Why a run ends with exit status 10, in the order in which it is said. */
export const attentionCodes = [
  'mail-unknown',
  'mail-refused',
  'file-unreadable',
  'file-unknown',
  'rejects',
  'no-readings',
  'silent-trucks',
] as const;
export type AttentionCode = (typeof attentionCodes)[number];

export interface Attention {
  readonly code: AttentionCode;
  /** What was found and what to do, a sentence. */
  readonly sentence: string;
}

/** What the analysis of the vehicles that were due changed. */
export interface AnalysisTally {
  readonly vehicles: number;
  readonly added: number;
  readonly changed: number;
  readonly withdrawn: number;
}

export interface DayOutcome {
  readonly window: DayWindow;
  /** Vehicles that sent a reading on the day. */
  readonly heard: number;
  /** Vehicles that were heard in the fortnight before and sent nothing on the day, by id. */
  readonly silent: readonly string[];
  /** Active episodes of the day, and those of its checks that the data prove missed. */
  readonly episodes: number;
  readonly anomalies: number;
  readonly digests: readonly DigestOutcome[];
}

/** How much went, but for what a hold keeps. */
export interface PruneTally {
  readonly readings: number;
  readonly rejects: number;
  /** Episodes whose evidence went; they stay themselves. */
  readonly evidence: number;
}

export interface NightOutcome {
  readonly files: readonly IngestedFile[];
  /** Written to within the last minute: the next run takes them. */
  readonly unsettled: readonly string[];
  readonly analysis: AnalysisTally;
  readonly days: readonly DayOutcome[];
  readonly pruned: PruneTally | null;
  readonly attention: readonly Attention[];
}
