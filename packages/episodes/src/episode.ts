/**
 * An episode: one coupling or uncoupling (or, on request, a failed attempt or a load lost under way), with milestones as
 * intervals and the rows that prove them. The wire form (`contract`) is made from it by the policy room, which adds the
 * checks.
 */
import type { Interval } from './bounds/interval.ts';
import type { Evidence } from './evidence.ts';

export const episodeKinds = ['coupling', 'uncoupling', 'attempt', 'load-loss'] as const;
export type EpisodeKind = (typeof episodeKinds)[number];

export type DriverBasis = 'reported' | 'carried' | 'unknown';
export type TrailerLoad = 'empty' | 'part' | 'loaded' | 'unknown';

/** Milestones of a coupling, ms since the epoch; null = the data cannot place it. */
export interface CouplingMilestones {
  /** The last reverse run begins. */
  readonly approachTime: Interval | null;
  /** Load begins to come on. */
  readonly contactTime: Interval | null;
  /** Kingpin home: standing with the load on. */
  readonly seatedTime: Interval | null;
  readonly tugTestTimes: readonly Interval[];
  /** Moves off with the trailer. */
  readonly departureTime: Interval | null;
}

/** Milestones of an uncoupling, ms since the epoch; null = the data cannot place it. */
export interface UncouplingMilestones {
  /** Came to rest. */
  readonly standTime: Interval | null;
  /** All but 5 % of the dump's fall is done. */
  readonly dumpTime: Interval | null;
  /** The forward movement that leaves the trailer begins. */
  readonly pullOutTime: Interval | null;
  /** The trailer no longer rests on the fifth wheel. */
  readonly releaseTime: Interval | null;
  /** The gear-hold pause after pulling out: the longest standstill before the trailer is left. */
  readonly holdStartTime: Interval | null;
  readonly holdEndTime: Interval | null;
  /** Moved on for good. */
  readonly clearTime: Interval | null;
}

export interface EpisodeBase {
  readonly vehicleId: string;
  readonly driverId: string | null;
  readonly driverBasis: DriverBasis;
  readonly startTime: number;
  readonly loadTransferTime: Interval;
  readonly endTime: number;
  /** Whether the departure (or clearing) was seen; false where the input or the 12 h ended first. */
  readonly closed: boolean;
  readonly position: { readonly latitude: number; readonly longitude: number } | null;
  /** Which signal carried the load: kPa or kg levels below follow it. */
  readonly loadSignal: 'suspensionKpa' | 'axleLoadKg';
  readonly levelBefore: number | null;
  readonly levelAfter: number | null;
  readonly trailerLoad: TrailerLoad;
  /** Whether the springs were exhausted to leave or to back under; null = the data cannot say. */
  readonly suspensionDumped: boolean | null;
  /** Probability that an episode of this kind happened within 15 s of `loadTransferTime`. */
  readonly confidence: number;
  readonly evidence: Evidence;
}

export interface Coupling extends EpisodeBase {
  readonly kind: 'coupling';
  readonly milestones: CouplingMilestones;
}

export interface Uncoupling extends EpisodeBase {
  readonly kind: 'uncoupling';
  readonly milestones: UncouplingMilestones;
}

export interface Attempt extends EpisodeBase {
  readonly kind: 'attempt';
  readonly milestones: CouplingMilestones;
}

export interface LoadLoss extends EpisodeBase {
  readonly kind: 'load-loss';
  readonly milestones: Record<string, never>;
}

export type Episode = Coupling | Uncoupling | Attempt | LoadLoss;
