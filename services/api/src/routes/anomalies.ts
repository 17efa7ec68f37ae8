/** Anomalies with their cases, and the decisions that people take on them. */

import type { Context } from '@gearhold/http';
import { type Api, about, listAnswer, type Principal, ProblemError, principalOf, problemAnswers } from '@gearhold/http';
import { type Decided, DecisionRefused, decide } from '@gearhold/operations/cases';
import {
  anomaly as anomalyMessage,
  anomalyPage,
  anomalyQuery,
  newReview,
  reviewList,
  reviewResult,
} from '@gearhold/schemas/api';
import {
  type AnomalyKey,
  anomalyKey,
  type FoundAnomaly,
  findAnomalies,
  reviewsById,
  reviewsOf,
  type StoredReview,
} from '@gearhold/store';
import { z } from 'zod';
import { answerList } from '../answers/list.ts';
import { anomalyColumns, type WireAnomaly, wireAnomaly, wireReview } from '../matters/anomaly.ts';
import { spanOf } from './episodes.ts';

const tags = ['Anomalies'] as const;
const byId = z.strictObject({ episodeId: z.string().min(1).max(200), check: z.string().min(1).max(60) });

interface Row {
  readonly found: FoundAnomaly;
  readonly lastReview: StoredReview | null;
}

export function addAnomalyRoutes(app: Api, { store, clock }: Context): void {
  async function withReviews(found: readonly FoundAnomaly[]): Promise<Row[]> {
    const ids = found.flatMap(({ lastReviewId }) => (lastReviewId === null ? [] : [lastReviewId]));
    const reviews = ids.length === 0 ? [] : await reviewsById(store, ids);
    const byReview = new Map(reviews.map((review) => [review.reviewId, review]));
    return found.map((one) => ({ found: one, lastReview: byReview.get(one.lastReviewId ?? -1) ?? null }));
  }

  /** @throws ProblemError `not-found` for one of other terminals as for one that does not exist */
  async function seenAnomaly(anomalyId: string, principal: Principal): Promise<Row> {
    const filter = { anomalyIds: [anomalyId], visibleTo: principal.terminals };
    const [row] = await withReviews(await findAnomalies(store, filter, 'time', 1, null));
    if (row === undefined) throw new ProblemError('not-found');
    return row;
  }

  app.get(
    '/v1/anomalies',
    {
      config: { access: 'read' },
      schema: {
        ...about('read', {
          operationId: 'listAnomalies',
          tags,
          summary: 'Anomalies with the state of their cases',
          description:
            'As JSON a page at a time; as NDJSON or CSV (by Accept) everything the filters find, streamed, from the cursor on.',
        }),
        querystring: anomalyQuery,
        response: { 200: listAnswer(anomalyPage), ...problemAnswers },
      },
    },
    async (request, reply) => {
      const { limit, cursor, ...asked } = request.query;
      const principal = principalOf(request);
      const filter = {
        ...spanOf(asked),
        // A driver filter of somebody who may not know drivers finds nothing: no id is empty.
        driver: asked.driver === undefined || principal.driverNames ? asked.driver : '',
        vehicle: asked.vehicle,
        site: asked.site,
        terminal: asked.terminal,
        check: asked.check,
        concern: asked.concern,
        urgency: asked.urgency,
        caseState: asked.state === 'any' ? undefined : asked.state,
        visibleTo: principal.terminals,
      };
      return answerList<Row, WireAnomaly>(request, reply, {
        asked,
        limit,
        cursor,
        keyShape: asked.sort === 'time' ? ['number', 'string'] : ['number', 'number', 'number', 'string'],
        keyOf: ({ found }) => anomalyKey(asked.sort, found),
        page: async (after, size) =>
          withReviews(await findAnomalies(store, filter, asked.sort, size, after as AnomalyKey | null)),
        item: ({ found, lastReview }) => wireAnomaly(found, lastReview, principal),
        columns: anomalyColumns,
      });
    },
  );

  app.get(
    '/v1/anomalies/:episodeId/:check',
    {
      config: { access: 'read' },
      schema: {
        ...about('read', { operationId: 'getAnomaly', tags, summary: 'One anomaly; its id is episodeId/check' }),
        params: byId,
        response: { 200: anomalyMessage, ...problemAnswers },
      },
    },
    async (request) => {
      const principal = principalOf(request);
      const { episodeId, check } = request.params;
      const { found, lastReview } = await seenAnomaly(`${episodeId}/${check}`, principal);
      return wireAnomaly(found, lastReview, principal);
    },
  );

  app.get(
    '/v1/anomalies/:episodeId/:check/reviews',
    {
      config: { access: 'read' },
      schema: {
        ...about('read', { operationId: 'listReviews', tags, summary: 'What was decided on an anomaly, oldest first' }),
        params: byId,
        response: { 200: reviewList, ...problemAnswers },
      },
    },
    async (request) => {
      const { episodeId, check } = request.params;
      const { found } = await seenAnomaly(`${episodeId}/${check}`, principalOf(request));
      const reviews = await reviewsOf(store, [found.anomalyId]);
      const undone = new Set(reviews.flatMap(({ undoes }) => (undoes === null ? [] : [undoes])));
      return { items: reviews.map((review) => wireReview(review, undone)) };
    },
  );

  app.post(
    '/v1/reviews',
    {
      config: { access: 'review' },
      schema: {
        ...about('review', {
          operationId: 'review',
          tags,
          summary: 'Decide on one or several anomalies at once',
          description:
            'All of it happens, or none. `undo` takes back the latest review of each that still stands. Who and when is kept.',
        }),
        body: newReview,
        response: { 201: reviewResult, ...problemAnswers },
      },
    },
    async (request, reply) => {
      const principal = principalOf(request);
      const decided = await decideAll(request.body, principal);
      reply.code(201);
      return {
        items: decided.map(({ anomaly, review }) => ({
          anomaly: wireAnomaly(anomaly, review, principal),
          review: wireReview(review),
        })),
      };
    },
  );

  async function decideAll(body: z.output<typeof newReview>, principal: Principal): Promise<Decided[]> {
    const { kind, id, name, terminals } = principal;
    try {
      return await decide(store, body, { kind, id, name, terminals }, clock.now());
    } catch (error) {
      if (!(error instanceof DecisionRefused)) throw error;
      if (error.reason === 'unknown') throw new ProblemError('not-found', `There is no anomaly ${error.anomalyId}.`);
      throw new ProblemError('state-conflict', `Anomaly ${error.anomalyId} has no review that could be undone.`);
    }
  }
}
