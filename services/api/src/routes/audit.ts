/** The log of who read a driver's evidence and who changed what. */

import type { Context } from '@gearhold/http';
import { type Api, about, problemAnswers, readCursor, writeCursor } from '@gearhold/http';
import { auditPage, auditQuery } from '@gearhold/schemas/api';
import { auditEntries } from '@gearhold/store';
import { iso } from '../access/wire.ts';

export function addAuditRoutes(app: Api, { store }: Context): void {
  app.get(
    '/v1/audit',
    {
      config: { access: 'administer' },
      schema: {
        ...about('administer', {
          operationId: 'listAudit',
          tags: ['Audit'],
          summary: 'Who read and changed what, the newest first',
        }),
        querystring: auditQuery,
        response: { 200: auditPage, ...problemAnswers },
      },
    },
    async ({ query: { limit, cursor, ...filter } }) => {
      const before = cursor === undefined ? null : (readCursor(filter, cursor, ['number'])[0] as number);
      const ms = (time: string | undefined) => (time === undefined ? undefined : Date.parse(time));
      const asked = { sinceMs: ms(filter.since), untilMs: ms(filter.until), subject: filter.subject, who: filter.who };
      const found = await auditEntries(store, asked, before, limit + 1);
      const items = found.slice(0, limit);
      const last = items.at(-1);
      return {
        items: items.map((entry) => ({
          entryId: String(entry.auditId),
          time: iso(entry.atMs),
          who: { kind: entry.whoKind, id: entry.whoId, name: entry.whoName },
          action: entry.action,
          subject: entry.subject,
          detail: JSON.parse(entry.detail) as Record<string, unknown>,
        })),
        nextCursor: found.length > limit && last !== undefined ? writeCursor(filter, [last.auditId]) : null,
      };
    },
  );
}
