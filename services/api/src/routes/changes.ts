/**
 * The feed of everything that changed since a position: corrections, withdrawals and erasures included, so that a consumer's copy
 * can stay exact. Who sees only some terminals is told only of what it may see; what it may no longer see comes as `erased`.
 */
import { type Api, about, type Context, ProblemError, principalOf, problemAnswers } from '@gearhold/http';
import { changeFeed, changeQuery } from '@gearhold/schemas/api';
import { type Change, changesAfter, changesVisible } from '@gearhold/store';
import { iso } from '../access/wire.ts';

/** Words of the wire for those of the store. */
const words = {
  added: 'new',
  returned: 'new',
  changed: 'corrected',
  withdrawn: 'withdrawn',
  reviewed: 'reviewed',
  erased: 'erased',
} as const satisfies Readonly<Record<Change['change'], string>>;

export function addChangeRoutes(app: Api, { store }: Context): void {
  app.get(
    '/v1/changes',
    {
      config: { access: 'read' },
      schema: {
        ...about('read', {
          operationId: 'listChanges',
          tags: ['Changes'],
          summary: 'What changed since a position',
          description:
            'Begin without `after`, keep `nextAfter`, and ask again with it: nothing is skipped and nothing comes twice. Each change names ' +
            'its subject, which is then read at its own address.',
        }),
        querystring: changeQuery,
        response: { 200: changeFeed, ...problemAnswers },
      },
    },
    async (request) => {
      const { after, limit } = request.query;
      const { terminals, driverNames } = principalOf(request);
      const position = positionOf(after);
      const found = await changesAfter(store, position, limit);
      const told = driverNames ? found : found.filter(({ subject }) => subject !== 'driver');
      const seen = terminals === null ? told : await changesVisible(store, told, terminals);
      return {
        items: seen.map(({ changeId, atMs, subject, subjectId, change }) => ({
          position: String(changeId),
          time: iso(atMs),
          subject,
          id: subjectId,
          change: words[change],
        })),
        nextAfter: String(found.at(-1)?.changeId ?? position),
      };
    },
  );
}

function positionOf(after: string | undefined): number {
  if (after === undefined) return 0;
  if (!/^\d{1,15}$/.test(after)) throw new ProblemError('cursor-invalid');
  return Number(after);
}
