/**
 * The two pure rooms as the analysis uses them: a tracker that makes episodes of ordered rows, and the policy's judgement
 * that makes the wire form of an episode.
 */
import { type Episode, FleetTracker } from '@gearhold/episodes';
import type { Companions } from './companions.ts';

/** Rows of a vehicle come in strictly increasing time; `values` may be reused by the caller. */
export interface Tracker {
  accept(vehicleId: string, timeMs: number, driverId: string | null, values: Float64Array, offset: number): void;
  /** The rows of this vehicle end here. */
  finishVehicle(vehicleId: string): void;
  /** The input ends here, for every vehicle. */
  finish(): void;
}

export interface WireBounds {
  readonly value: number | null;
  readonly low: number | null;
  readonly high: number | null;
  readonly unit: string;
}

export interface WireCheck {
  readonly check: string;
  readonly outcome: string;
  readonly measured: WireBounds | null;
  readonly limit: Readonly<Record<string, unknown>>;
  readonly window: { readonly start: string; readonly end: string } | null;
  readonly concern?: string;
  readonly urgency?: string;
  readonly reason: string;
}

/** What the analysis itself reads of an episode on the wire; it passes on the rest as it is. */
export interface WireEpisode {
  readonly episodeId: string;
  readonly kind: string;
  readonly vehicleId: string;
  readonly driverId: string | null;
  readonly driverBasis: string;
  readonly loadTransferTime: string;
  readonly siteId: string | null;
  readonly trailerLoad: string;
  readonly confidence: number;
  readonly checks: readonly WireCheck[];
}

export interface Engine {
  tracker(onEpisode: (episode: Episode) => void): Tracker;
  judge(episode: Episode): WireEpisode;
}

/** An engine of the companion files. */
export function buildEngine(companions: Companions): Engine {
  const { vehicles } = companions;
  return {
    tracker: (onEpisode) => new FleetTracker({ vehicles, onEpisode }),
    judge: (episode) => {
      const iso = (ms: number) => new Date(ms).toISOString();
      return {
        episodeId: `${episode.vehicleId}/${episode.kind}/${iso(episode.loadTransferTime.best)}`,
        kind: episode.kind,
        vehicleId: episode.vehicleId,
        driverId: episode.driverId,
        driverBasis: episode.driverBasis,
        loadTransferTime: iso(episode.loadTransferTime.best),
        siteId: null,
        trailerLoad: episode.trailerLoad,
        confidence: episode.confidence,
        checks: [],
      };
    },
  };
}
