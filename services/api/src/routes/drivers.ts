/** Drivers: their names, where they are kept, and which terminal they belonged to when. */
import {
  type Api,
  about,
  type Context,
  type Principal,
  ProblemError,
  principalOf,
  problemAnswers,
  readCursor,
  writeCursor,
} from '@gearhold/http';
import { driver as driverMessage, driverPage, pageQuery } from '@gearhold/schemas/api';
import { type DriverEntry, readDrivers } from '@gearhold/store';
import { z } from 'zod';

const tags = ['Drivers'] as const;

export function addDriverRoutes(app: Api, { store }: Context): void {
  /** Whoever may not know drivers knows none; a terminal knows those who ever belonged to it. */
  async function seenDrivers({ terminals, driverNames }: Principal): Promise<[string, DriverEntry[]][]> {
    if (!driverNames) return [];
    const all = [...Map.groupBy(await readDrivers(store), ({ driverId }) => driverId)];
    return all.filter(
      ([, entries]) => terminals === null || entries.some(({ terminal }) => terminals.includes(terminal)),
    );
  }

  app.get(
    '/v1/drivers',
    {
      config: { access: 'read' },
      schema: {
        ...about('read', {
          operationId: 'listDrivers',
          tags,
          summary: 'Drivers by id; none where the scope withholds them',
        }),
        querystring: pageQuery,
        response: { 200: driverPage, ...problemAnswers },
      },
    },
    async (request) => {
      const { limit, cursor } = request.query;
      const asked = { list: 'drivers' };
      const after = cursor === undefined ? '' : (readCursor(asked, cursor, ['string'])[0] as string);
      const found = (await seenDrivers(principalOf(request))).filter(([driverId]) => driverId > after);
      const items = found.slice(0, limit);
      const last = items.at(-1);
      const more = found.length > limit && last !== undefined;
      return {
        items: items.map(([driverId, entries]) => wireDriver(driverId, entries)),
        nextCursor: more ? writeCursor(asked, [last[0]]) : null,
      };
    },
  );

  app.get(
    '/v1/drivers/:driverId',
    {
      config: { access: 'read' },
      schema: {
        ...about('read', { operationId: 'getDriver', tags, summary: 'One driver' }),
        params: z.strictObject({ driverId: z.string().min(1).max(64) }),
        response: { 200: driverMessage, ...problemAnswers },
      },
    },
    async (request) => {
      const { driverId } = request.params;
      const found = (await seenDrivers(principalOf(request))).find(([id]) => id === driverId);
      if (found === undefined) throw new ProblemError('not-found');
      return wireDriver(...found);
    },
  );
}

function wireDriver(driverId: string, entries: readonly DriverEntry[]) {
  return {
    driverId,
    name: entries.find(({ name }) => name !== null)?.name ?? null,
    assignments: entries.map(({ terminal, from, until }) => ({ terminal, from, until })),
  };
}
