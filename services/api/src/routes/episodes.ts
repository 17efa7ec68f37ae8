/** Episodes with their checks, the readings they rest on, and what was said of them before. */

import type { Context } from '@gearhold/http';
import {
  type Api,
  about,
  listAnswer,
  maySee,
  type Principal,
  ProblemError,
  principalOf,
  problemAnswers,
} from '@gearhold/http';
import {
  episodePage,
  episodeQuery,
  evidence as evidenceMessage,
  episodeHistory as historyMessage,
  storedEpisode,
} from '@gearhold/schemas/api';
import {
  episodeHistory,
  findEpisodes,
  noteAudit,
  readEpisode,
  readEvidence,
  type StoredEpisode,
} from '@gearhold/store';
import { z } from 'zod';
import { actorOf, iso } from '../access/wire.ts';
import { answerList } from '../answers/list.ts';
import { episodeColumns, saidOf, wireEpisode, wireEvidence } from '../matters/episode.ts';

const tags = ['Episodes'] as const;
const byId = z.strictObject({ episodeId: z.string().min(1).max(200) });

export function addEpisodeRoutes(app: Api, context: Context): void {
  const { store, clock } = context;

  app.get(
    '/v1/episodes',
    {
      config: { access: 'read' },
      schema: {
        ...about('read', {
          operationId: 'listEpisodes',
          tags,
          summary: 'Episodes, the newest first',
          description:
            'As JSON a page at a time; as NDJSON or CSV (by Accept) everything the filters find, streamed, from the cursor on.',
        }),
        querystring: episodeQuery,
        response: { 200: listAnswer(episodePage), ...problemAnswers },
      },
    },
    async (request, reply) => {
      const { limit, cursor, ...asked } = request.query;
      const principal = principalOf(request);
      const filter = {
        ...spanOf(asked),
        driver: principal.driverNames ? asked.driver : withheld(asked.driver),
        vehicle: asked.vehicle,
        site: asked.site,
        terminal: asked.terminal,
        kind: asked.kind,
        state: asked.state === 'any' ? undefined : asked.state,
        visibleTo: principal.terminals,
      };
      return answerList(request, reply, {
        asked,
        limit,
        cursor,
        keyShape: ['number', 'string'],
        keyOf: (row: StoredEpisode) => [row.loadTransferMs, row.episodeId],
        page: (after, size) =>
          findEpisodes(
            store,
            filter,
            size,
            after && { loadTransferMs: after[0] as number, episodeId: after[1] as string },
          ),
        item: (row) => wireEpisode(row, principal),
        columns: episodeColumns,
      });
    },
  );

  /** @throws ProblemError `not-found` for one of other terminals as for one that does not exist */
  async function seenEpisode(episodeId: string, principal: Principal): Promise<StoredEpisode> {
    const episode = await readEpisode(store, episodeId);
    if (episode === null || !maySee(principal, episode)) throw new ProblemError('not-found');
    return episode;
  }

  app.get(
    '/v1/episodes/:episodeId',
    {
      config: { access: 'read' },
      schema: {
        ...about('read', { operationId: 'getEpisode', tags, summary: 'One episode with its checks' }),
        params: byId,
        response: { 200: storedEpisode, ...problemAnswers },
      },
    },
    async (request) => {
      const principal = principalOf(request);
      return wireEpisode(await seenEpisode(request.params.episodeId, principal), principal);
    },
  );

  app.get(
    '/v1/episodes/:episodeId/evidence',
    {
      config: { access: 'read' },
      schema: {
        ...about('read', {
          operationId: 'getEvidence',
          tags,
          summary: 'The readings around an episode, a column a signal',
          description: 'Kept for years, although raw readings are pruned. Who reads it is noted in the audit log.',
        }),
        params: byId,
        response: { 200: evidenceMessage, ...problemAnswers },
      },
    },
    async (request) => {
      const principal = principalOf(request);
      const { episodeId } = request.params;
      const episode = await seenEpisode(episodeId, principal);
      const found = await readEvidence(store, episodeId);
      if (found === null) throw new ProblemError('not-found', 'No evidence is kept of this episode any more.');
      const { driverId } = episode.wire;
      const detail = principal.driverNames && driverId !== null ? { driverId } : {};
      await noteAudit(store, clock.now(), actorOf(principal), 'read-evidence', `episode/${episodeId}`, detail);
      return wireEvidence(episodeId, found, principal);
    },
  );

  app.get(
    '/v1/episodes/:episodeId/history',
    {
      config: { access: 'read' },
      schema: {
        ...about('read', { operationId: 'getEpisodeHistory', tags, summary: 'What was said of an episode before' }),
        params: byId,
        response: { 200: historyMessage, ...problemAnswers },
      },
    },
    async (request) => {
      const principal = principalOf(request);
      const { episodeId } = request.params;
      await seenEpisode(episodeId, principal);
      const entries = await episodeHistory(store, episodeId);
      return {
        items: entries.map((entry) => ({
          revision: entry.revision,
          state: entry.state,
          saidFromTime: iso(entry.saidFromMs),
          saidUntilTime: iso(entry.saidUntilMs),
          policyId: entry.policyId,
          episode: saidOf(entry.wire, principal),
        })),
      };
    },
  );
}

/** A driver filter of somebody who may not know drivers finds nothing: no id is empty. */
function withheld(driver: string | undefined): string | undefined {
  return driver === undefined ? undefined : '';
}

export function spanOf({ since, until }: { since?: string | undefined; until?: string | undefined }) {
  return {
    sinceMs: since === undefined ? undefined : Date.parse(since),
    untilMs: until === undefined ? undefined : Date.parse(until),
  };
}
