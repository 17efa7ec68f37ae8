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
import { driversOf } from '@gearhold/operations/intake';
import { driver as driverMessage, driverPage, driverStatement, pageQuery } from '@gearhold/schemas/api';
import { type DriverEntry, markDirty, noteAudit, noteChanges, readDrivers, storeDriver } from '@gearhold/store';
import { z } from 'zod';
import { actorOf } from '../access/wire.ts';

const tags = ['Drivers'] as const;
const byId = z.strictObject({ driverId: z.string().min(1).max(64) });

export function addDriverRoutes(app: Api, { store, clock }: Context): void {
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
        params: byId,
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

  app.put(
    '/v1/drivers/:driverId',
    {
      config: { access: 'administer' },
      schema: {
        ...about('administer', {
          operationId: 'putDriver',
          tags,
          summary: 'State a driver: the name, and which terminal when',
          description:
            'Replaces what was stated. The id is the one that episodes carry. Where the terminal of a day changes, episodes of the driver ' +
            'go to the other terminal. A store that keeps pseudonyms takes no names, and one that keeps no drivers takes none at all.',
        }),
        params: byId,
        body: driverStatement,
        response: { 200: driverMessage, ...problemAnswers },
      },
    },
    async (request) => {
      const { driverId } = request.params;
      const { name, assignments } = request.body;
      const { mode } = await driversOf(store, undefined, clock.now(), false);
      if (mode === 'none') throw new ProblemError('state-conflict', 'This store keeps nothing of drivers.');
      if (mode === 'pseudonym' && name !== null) {
        throw new ProblemError('content-unusable', 'This store keeps pseudonyms: leave the name out.', {
          places: [{ in: 'body', pointer: '/name', detail: 'expected null' }],
        });
      }
      const ofDriver = (entries: readonly DriverEntry[]) => entries.filter((entry) => entry.driverId === driverId);
      return store.transaction(async (transaction) => {
        const before = ofDriver(await readDrivers(transaction));
        await storeDriver(
          transaction,
          driverId,
          assignments.map((assignment) => ({ driverId, name, ...assignment })),
        );
        const entries = ofDriver(await readDrivers(transaction));
        const terminals = (of: readonly DriverEntry[]) => JSON.stringify(of.map((one) => ({ ...one, name: null })));
        if (terminals(before) !== terminals(entries)) await markDirty(transaction, Number.NEGATIVE_INFINITY, 'all');
        if (JSON.stringify(before) !== JSON.stringify(entries)) {
          const who = actorOf(principalOf(request));
          await noteAudit(transaction, clock.now(), who, 'change-driver', `driver/${driverId}`);
          const change = { subject: 'driver', subjectId: driverId, change: 'changed', revision: 0 } as const;
          await noteChanges(transaction, [change], clock.now());
        }
        return wireDriver(driverId, entries);
      });
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
