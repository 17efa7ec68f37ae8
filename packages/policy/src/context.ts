/** Where an episode happened and what the fleet states of its truck, both as of its load transfer. */
import { type Episode, type Vehicle, validAt } from '@gearhold/episodes';
import type { Context } from './check.ts';
import { placeOf, type Site } from './site.ts';

export interface Stated {
  readonly sites: readonly Site[];
  /** Entries of the vehicles file by vehicle. */
  readonly entries: ReadonlyMap<string, readonly Vehicle[]>;
}

export function contextOf(episode: Episode, { sites, entries }: Stated): Context {
  const vehicle = validAt(entries.get(episode.vehicleId) ?? [], episode.loadTransferTime.best);
  return { ...placeOf(sites, episode.position), vehicle };
}
