/** Anomalies (what the data prove), reviews (what a person decides) and the case that is followed until it is closed. */
import { z } from 'zod';
import { judgedCheck, matterFilters } from './episodes.ts';
import { cursor, limit, pageOf, terminals, time } from './parts.ts';

export const caseStates = ['open', 'confirmed', 'dismissed', 'with-yard', 'with-shop', 'closed'] as const;

export const caseState = z.enum(caseStates).meta({
  id: 'CaseState',
  description:
    'open: nobody decided yet; confirmed: it is so, and is to be talked over; with-yard, with-shop: handed over; dismissed, closed: done',
});

export const reviewActions = [
  'confirm',
  'dismiss',
  'hand-to-yard',
  'hand-to-shop',
  'assign',
  'note',
  'close',
  'undo',
] as const;

export const reviewAction = z.enum(reviewActions).meta({ id: 'ReviewAction' });

const text = z.string().trim().min(1).max(2000);

/** One decision on one or several anomalies at once. */
export const newReview = z
  .strictObject({
    anomalyIds: z.array(z.string().min(3).max(200)).min(1).max(200),
    action: reviewAction,
    reason: text.optional().meta({ description: 'Needed to dismiss' }),
    note: text.optional().meta({ description: 'Needed to note' }),
    assigneeId: z.string().max(64).nullable().optional().meta({ description: 'Needed to assign; null: to nobody' }),
  })
  .superRefine((review, context) => {
    const missing = (path: string) =>
      context.addIssue({ code: 'custom', path: [path], message: `expected a ${path} to ${review.action}` });
    if (review.action === 'dismiss' && review.reason === undefined) missing('reason');
    if (review.action === 'note' && review.note === undefined) missing('note');
    if (review.action === 'assign' && review.assigneeId === undefined) missing('assigneeId');
  })
  .meta({ id: 'NewReview' });

export const review = z
  .object({
    reviewId: z.string(),
    anomalyId: z.string(),
    action: reviewAction,
    reason: z.string().nullable(),
    note: z.string().nullable(),
    assigneeId: z.string().nullable(),
    time,
    by: z.object({ kind: z.enum(['token', 'person']), id: z.string(), name: z.string() }),
    undone: z.boolean().meta({ description: 'A later review took it back' }),
  })
  .meta({ id: 'Review' });

export const anomaly = z
  .object({
    ...judgedCheck.shape,
    anomalyId: z.string().meta({ description: 'episodeId/check' }),
    kind: z.string().meta({ description: 'Of the episode' }),
    confidence: z.number(),
    severity: z
      .number()
      .meta({ description: 'How far beyond the limit it surely lies, 0 to 1: what to look at first' }),
    terminals,
    withdrawn: z.boolean().meta({ description: 'Later readings took back what it rests on' }),
    arrivedLate: z.boolean().meta({ description: 'Its readings were older than 24 h on arrival: it alarmed nobody' }),
    firstSeenTime: time,
    state: caseState,
    assigneeId: z.string().nullable(),
    changedSinceReview: z.boolean().meta({ description: 'What was judged has changed since a person decided on it' }),
    lastReview: review.nullable(),
  })
  .meta({ id: 'Anomaly' });

export const anomalyPage = pageOf('AnomalyPage', anomaly);
export const anomalyQuery = z.strictObject({
  ...matterFilters,
  check: z.string().min(1).max(60).optional(),
  concern: z.enum(['driver', 'yard', 'shop', 'unclear']).optional(),
  urgency: z.enum(['urgent', 'today', 'routine']).optional(),
  state: z
    .enum([...caseStates, 'unsettled', 'any'])
    .default('any')
    .meta({
      description: 'unsettled: every state but dismissed and closed',
    }),
  sort: z.enum(['time', 'gravity']).default('time').meta({
    description:
      'time: newest load transfer first; gravity: urgent first, then the most severe and least ambiguous, then the newest',
  }),
  limit: limit.default(100),
  cursor: cursor.optional(),
});

export const reviewList = z.object({ items: z.array(review) }).meta({ id: 'ReviewList' });
export const reviewResult = z.object({ items: z.array(z.object({ anomaly, review })) }).meta({ id: 'ReviewResult' });
