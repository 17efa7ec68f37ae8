/** What a digest is made of: the facts of one day, and what came to light of the days before. Plain data, read from the store. */
import type { Site, WireCheck, WireEpisode } from '@gearhold/policy';
import type { DayWindow } from '../day/window.ts';

/** An episode with whom it belongs to. */
export interface EpisodeFact {
  readonly wire: WireEpisode;
  /** The site's terminal, else the vehicle's; null where neither is stated. */
  readonly terminal: string | null;
  /** The driver's own terminal on that day. */
  readonly driverTerminal: string | null;
}

/** An anomaly of a day before this one that no digest has told of yet, or that is no longer proven. */
export interface EarlierFact extends EpisodeFact {
  readonly check: WireCheck;
  /** Whether it rests on readings that came after its own day had been told of. */
  readonly arrivedLate: boolean;
}

/** A truck on the day. */
export interface TruckFact {
  readonly vehicleId: string;
  readonly terminal: string | null;
  /** Whether a reading of the day came. */
  readonly heard: boolean;
  /** Whether one of them reported pressure or axle load; without either no trailer can be seen. */
  readonly loadReported: boolean;
  /** Whether the vehicles file states steel springs, on which pressure proves nothing. */
  readonly steelSprings: boolean;
  /** Its last reading, ms since the epoch. */
  readonly lastReadingMs: number;
}

export interface DayFacts {
  readonly window: DayWindow;
  /** Active episodes whose load transfer lies in the day, by time. */
  readonly episodes: readonly EpisodeFact[];
  /** Ids of anomalies of the day that rest on readings which came after it had been told of. */
  readonly arrivedLate: ReadonlySet<string>;
  /** Trucks that were heard on the day or in the fortnight before, by id. */
  readonly trucks: readonly TruckFact[];
  readonly sites: readonly Site[];
  /** Names by driver id, where the drivers file has one. */
  readonly driverNames: ReadonlyMap<string, string>;
}

export interface EarlierFacts {
  /** Found since the digest before, by time. */
  readonly found: readonly EarlierFact[];
  /** Told of in a digest before, and no longer proven, by time. */
  readonly takenBack: readonly EarlierFact[];
}
