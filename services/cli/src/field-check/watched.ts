/** What a person watched in the yard: one row of a filled sheet, with its times as instants. */
import type { PausePlace, TimedMilestone, WatchedKind } from './columns.ts';

export interface Watched {
  /** Line of the sheet on which the row begins. */
  readonly line: number;
  readonly vehicleId: string;
  readonly kind: WatchedKind;
  readonly yard: string;
  /** IANA name or offset, as written; null where every time carries its own offset. */
  readonly zone: string | null;
  /** The stretch in which this truck was watched without a break, ms since the epoch. */
  readonly fromMs: number;
  readonly untilMs: number;
  /** Stopwatch times, ms since the epoch; a blank one is absent. */
  readonly times: ReadonlyMap<TimedMilestone, number>;
  readonly tugTestTimes: readonly number[];
  readonly steps: StepsSeen;
  readonly remarks: string;
  readonly watcher: string;
}

/** Steps as they were seen; null = not written down. */
export interface StepsSeen {
  /** Got out of the cab to look before backing under. */
  readonly gotOut: boolean | null;
  /** Longest stop short of the trailer, s. */
  readonly stopSeconds: number | null;
  readonly tugTests: number | null;
  readonly pause: PausePlace | null;
  readonly pauseSeconds: number | null;
  readonly parkingBrakeSet: boolean | null;
  /** The air of the drive axle was let out, to leave or to back under. */
  readonly dumpUsed: boolean | null;
  /** Load came back onto the fifth wheel after release. */
  readonly secondHit: boolean | null;
}

/** A row that may be compared with an episode. */
export type WatchedEpisode = Watched & { readonly kind: 'coupling' | 'uncoupling' };

export function isEpisode(row: Watched): row is WatchedEpisode {
  return row.kind !== 'none';
}
