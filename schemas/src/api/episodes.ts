/** Episodes, checks, evidence and what was said of them before. */
import { z } from 'zod';
import { episodeSchema } from '../episode.ts';
import { cursor, identifier, limit, pageOf, terminals, time, timeGiven } from './parts.ts';

export const storedEpisode = z
  .object({
    episode: episodeSchema,
    state: z.enum(['active', 'withdrawn']).meta({
      description: 'withdrawn: later readings showed that it was none; it is kept and never deleted',
    }),
    revision: z.int().min(1).meta({ description: 'Counts up with every change to what the episode says' }),
    firstSeenTime: time,
    changedTime: time,
    policyId: z.string().meta({ description: 'By which policy it was judged' }),
    terminals,
  })
  .meta({ id: 'StoredEpisode' });

export const episodePage = pageOf('EpisodePage', storedEpisode);

/** Filters that episodes, anomalies and checks share with the command line. */
export const matterFilters = {
  since: timeGiven.optional().meta({ description: 'Load transfer at or after' }),
  until: timeGiven.optional().meta({ description: 'Load transfer before' }),
  vehicle: identifier.optional(),
  driver: identifier.optional(),
  site: z.string().min(1).max(64).optional(),
  terminal: z.string().min(1).max(64).optional(),
};

const page = { limit: limit.default(100), cursor: cursor.optional() };

export const episodeQuery = z.strictObject({
  ...matterFilters,
  kind: z.string().min(1).max(40).optional(),
  state: z.enum(['active', 'withdrawn', 'any']).default('active'),
  ...page,
});

export const episodeHistory = z
  .object({
    items: z.array(
      z.object({
        revision: z.int().min(1),
        state: z.enum(['active', 'withdrawn']),
        saidFromTime: time,
        saidUntilTime: time,
        policyId: z.string(),
        episode: episodeSchema,
      }),
    ),
  })
  .meta({ id: 'EpisodeHistory' });

export const evidence = z
  .object({
    episodeId: z.string(),
    startTime: time,
    endTime: time,
    columns: z.array(z.object({ signal: z.string(), unit: z.string(), values: z.array(z.number().nullable()) })),
    times: z.array(time),
    driverIds: z.array(z.string().nullable()),
  })
  .meta({
    id: 'Evidence',
    description: 'The readings around an episode, a column a signal; null = not reported, never the same as zero',
  });

export const judgedCheck = z
  .object({
    episodeId: z.string(),
    loadTransferTime: time,
    vehicleId: z.string(),
    driverId: z.string().nullable(),
    siteId: z.string().nullable(),
    check: z.string(),
    outcome: z.string(),
    measured: z
      .object({
        value: z.number(),
        low: z.number().nullable(),
        high: z.number().nullable(),
        unit: z.string(),
      })
      .nullable(),
    limit: z.record(z.string(), z.union([z.number(), z.string()])),
    window: z.object({ start: time, end: time }).nullable(),
    concern: z.string(),
    urgency: z.string(),
    reason: z.string().meta({ description: 'One plain sentence, in SI' }),
    reasonParts: z
      .looseObject({
        text: z.string(),
        values: z.record(z.string(), z.union([z.string(), z.looseObject({ value: z.number(), unit: z.string() })])),
      })
      .meta({ description: 'The sentence as text with gaps and what fills them, to be said in other units' }),
  })
  .meta({ id: 'JudgedCheck' });

export const checkPage = pageOf('CheckPage', judgedCheck);
export const checkQuery = z.strictObject({
  ...matterFilters,
  check: z.string().min(1).max(60).optional(),
  outcome: z.enum(['met', 'missed', 'undetermined', 'not-applicable']).optional(),
  ...page,
});
