/** Checks of all episodes, whatever their outcome: what was met, missed, and could not be judged. */

import type { Context } from '@gearhold/http';
import { type Api, about, listAnswer, principalOf, problemAnswers } from '@gearhold/http';
import { checkPage, checkQuery, type judgedCheck } from '@gearhold/schemas/api';
import { type CheckFilter, type FoundCheck, findChecks } from '@gearhold/store';
import type { z } from 'zod';
import { iso } from '../access/wire.ts';
import { answerList } from '../answers/list.ts';
import { spanOf } from './episodes.ts';

type JudgedCheck = z.output<typeof judgedCheck>;
type Cell = string | number | null;

/** Columns of the CSV form, in its order. */
const columns: Readonly<Record<string, (item: JudgedCheck) => Cell>> = {
  episodeId: (item) => item.episodeId,
  loadTransferTime: (item) => item.loadTransferTime,
  vehicleId: (item) => item.vehicleId,
  driverId: (item) => item.driverId,
  siteId: (item) => item.siteId,
  check: (item) => item.check,
  outcome: (item) => item.outcome,
  value: (item) => item.measured?.value ?? null,
  low: (item) => item.measured?.low ?? null,
  high: (item) => item.measured?.high ?? null,
  unit: (item) => item.measured?.unit ?? null,
  concern: (item) => item.concern,
  urgency: (item) => item.urgency,
  reason: (item) => item.reason,
};

export function addCheckRoutes(app: Api, { store }: Context): void {
  app.get(
    '/v1/checks',
    {
      config: { access: 'read' },
      schema: {
        ...about('read', {
          operationId: 'listChecks',
          tags: ['Checks'],
          summary: 'Checks of active episodes, the newest first, whatever their outcome',
          description:
            'As JSON a page at a time; as NDJSON or CSV (by Accept) everything the filters find, streamed, from the cursor on.',
        }),
        querystring: checkQuery,
        response: { 200: listAnswer(checkPage), ...problemAnswers },
      },
    },
    async (request, reply) => {
      const { limit, cursor, ...asked } = request.query;
      const principal = principalOf(request);
      const one = (value: string | undefined) => (value === undefined ? undefined : [value]);
      const filter: CheckFilter = {
        ...spanOf(asked),
        // A driver filter of somebody who may not know drivers finds nothing: no id is empty.
        drivers: one(asked.driver === undefined || principal.driverNames ? asked.driver : ''),
        vehicles: one(asked.vehicle),
        sites: one(asked.site),
        terminals: one(asked.terminal),
        checks: one(asked.check),
        outcomes: asked.outcome && [asked.outcome],
        visibleTo: principal.terminals,
      };
      return answerList<FoundCheck, JudgedCheck>(request, reply, {
        asked,
        limit,
        cursor,
        keyShape: ['number', 'string', 'number'],
        keyOf: (row) => [row.loadTransferMs, row.episodeId, row.position],
        page: (after, size) =>
          findChecks(store, filter, {
            order: 'newest-first',
            limit: size,
            after: after === null ? undefined : keyFrom(after),
          }),
        item: (row) => judged(row, principal.driverNames),
        columns,
      });
    },
  );
}

function keyFrom(after: readonly (string | number)[]) {
  const [loadTransferMs, episodeId, position] = after as [number, string, number];
  return { loadTransferMs, episodeId, position };
}

function judged(row: FoundCheck, driverNames: boolean): JudgedCheck {
  const { check } = row;
  return {
    episodeId: row.episodeId,
    loadTransferTime: iso(row.loadTransferMs),
    vehicleId: row.vehicleId,
    driverId: driverNames ? row.driverId : null,
    siteId: row.siteId,
    check: check.check,
    outcome: check.outcome,
    measured: check.measured,
    limit: check.limit,
    window: check.window,
    concern: check.concern,
    urgency: check.urgency,
    reason: check.reason,
    reasonParts: check.reasonParts as JudgedCheck['reasonParts'],
  };
}
