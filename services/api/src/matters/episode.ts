/** An episode as a caller may see it: drivers are left out for those whose scope withholds them. */
import type { Belonging, Principal } from '@gearhold/http';
import type { episodeSchema } from '@gearhold/schemas';
import type { EvidenceRows, StoredEpisode } from '@gearhold/store';
import type { z } from 'zod';
import { iso } from '../access/wire.ts';

type EpisodeMessage = z.output<typeof episodeSchema>;

/** What an analysis said of an episode, to somebody who may or may not know drivers. */
export function saidOf(wire: StoredEpisode['wire'], principal: Pick<Principal, 'driverNames'>): EpisodeMessage {
  // The message is the same but for what may be written to: nobody does.
  return (principal.driverNames ? wire : { ...wire, driverId: null }) as unknown as EpisodeMessage;
}

export function wireEpisode(row: StoredEpisode, principal: Pick<Principal, 'driverNames'>) {
  return {
    episode: saidOf(row.wire, principal),
    state: row.state,
    revision: row.revision,
    firstSeenTime: iso(row.firstSeenMs),
    changedTime: iso(row.changedMs),
    policyId: row.policyId,
    terminals: wireTerminals(row),
  };
}

export type WireStoredEpisode = ReturnType<typeof wireEpisode>;

export function wireTerminals({ driverTerminal, siteTerminal, vehicleTerminal }: Belonging) {
  return { driver: driverTerminal, site: siteTerminal, vehicle: vehicleTerminal };
}

type Cell = string | number | boolean | null;

const said = (name: keyof WireStoredEpisode['episode']) => (item: WireStoredEpisode) =>
  (item.episode[name] ?? null) as Cell;

/** Columns of the CSV form, in its order; outcomes as one cell, such as `gear-hold-pause=missed approach-stop=met`. */
export const episodeColumns: Readonly<Record<string, (item: WireStoredEpisode) => Cell>> = {
  episodeId: said('episodeId'),
  kind: said('kind'),
  state: (item) => item.state,
  revision: (item) => item.revision,
  vehicleId: said('vehicleId'),
  driverId: said('driverId'),
  driverBasis: said('driverBasis'),
  siteId: said('siteId'),
  startTime: said('startTime'),
  loadTransferTime: said('loadTransferTime'),
  endTime: said('endTime'),
  latitude: (item) => item.episode.position?.latitude ?? null,
  longitude: (item) => item.episode.position?.longitude ?? null,
  pressureBeforeKpa: said('pressureBeforeKpa'),
  pressureAfterKpa: said('pressureAfterKpa'),
  trailerLoad: said('trailerLoad'),
  suspensionDumped: said('suspensionDumped'),
  confidence: said('confidence'),
  outcomes: (item) => item.episode.checks.map(({ check, outcome }) => `${check}=${outcome}`).join(' '),
};

export function wireEvidence(episodeId: string, rows: EvidenceRows, principal: Pick<Principal, 'driverNames'>) {
  const { columns, timesMs, values } = rows;
  const times = Array.from(timesMs);
  return {
    episodeId,
    startTime: iso(times[0]!),
    endTime: iso(times.at(-1)!),
    columns: columns.map(({ name, unit }, column) => ({
      signal: name,
      unit,
      values: times.map((_, row) => {
        const value = values[row * columns.length + column]!;
        return Number.isNaN(value) ? null : value;
      }),
    })),
    times: times.map(iso),
    driverIds: principal.driverNames ? [...rows.driverIds] : times.map(() => null),
  };
}
