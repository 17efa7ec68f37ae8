/** Trucks: what is stated of them, what was learned, and how far their readings are analysed. */

import { type Vehicle, validAt } from '@gearhold/episodes';
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
import { learnedOf } from '@gearhold/operations/learned';
import { pageQuery, vehicle as vehicleMessage, vehiclePage, vehicleStatements } from '@gearhold/schemas/api';
import {
  markDirty,
  noteAudit,
  noteChanges,
  readVehicles,
  storeVehicles,
  type VehicleProgress,
  vehicleProgress,
  vehiclesPage,
} from '@gearhold/store';
import { z } from 'zod';
import { actorOf, iso, isoOrNull } from '../access/wire.ts';

const tags = ['Vehicles'] as const;
const byId = z.strictObject({ vehicleId: z.string().min(1).max(64) });

export function addVehicleRoutes(app: Api, { store, clock }: Context): void {
  /** A truck of a terminal is seen by it; one that belongs to none, by those who see all. */
  function seen(principal: Principal, statements: readonly Vehicle[]): boolean {
    if (principal.terminals === null) return true;
    const terminal = validAt(statements, clock.now())?.terminal;
    return terminal !== undefined && principal.terminals.includes(terminal);
  }

  app.get(
    '/v1/vehicles',
    {
      config: { access: 'read' },
      schema: {
        ...about('read', { operationId: 'listVehicles', tags, summary: 'Trucks that readings came from, by id' }),
        querystring: pageQuery,
        response: { 200: vehiclePage, ...problemAnswers },
      },
    },
    async (request) => {
      const { limit, cursor } = request.query;
      const principal = principalOf(request);
      const asked = { list: 'vehicles' };
      const stated = Map.groupBy(await readVehicles(store), ({ vehicleId }) => vehicleId);
      const items: ReturnType<typeof wireVehicle>[] = [];
      let after = cursor === undefined ? null : (readCursor(asked, cursor, ['string'])[0] as string);
      for (;;) {
        const found = await vehiclesPage(store, after, limit);
        for (const progress of found) {
          after = progress.vehicleId;
          const statements = stated.get(after) ?? [];
          if (!seen(principal, statements)) continue;
          items.push(wireVehicle(progress, statements, null));
          if (items.length === limit) break;
        }
        if (found.length < limit && items.length < limit) return { items, nextCursor: null };
        if (items.length === limit) return { items, nextCursor: writeCursor(asked, [after!]) };
      }
    },
  );

  app.get(
    '/v1/vehicles/:vehicleId',
    {
      config: { access: 'read' },
      schema: {
        ...about('read', {
          operationId: 'getVehicle',
          tags,
          summary: 'One truck, with what was learned of it and which signals it reports',
        }),
        params: byId,
        response: { 200: vehicleMessage, ...problemAnswers },
      },
    },
    async (request) => {
      const { vehicleId } = request.params;
      const statements = (await readVehicles(store)).filter((vehicle) => vehicle.vehicleId === vehicleId);
      const progress = await vehicleProgress(store, vehicleId);
      const known = progress !== null || statements.length > 0;
      if (!known || !seen(principalOf(request), statements)) throw new ProblemError('not-found');
      const learned = progress === null ? null : await learnedOf(store, vehicleId, clock.now());
      return wireVehicle(progress ?? { vehicleId }, statements, learned);
    },
  );

  app.put(
    '/v1/vehicles/:vehicleId',
    {
      config: { access: 'administer' },
      schema: {
        ...about('administer', {
          operationId: 'putVehicle',
          tags,
          summary: 'State what is known of a truck',
          description: 'Replaces what was stated; its readings are analysed again under it.',
        }),
        params: byId,
        body: vehicleStatements,
        response: { 200: vehicleMessage, ...problemAnswers },
      },
    },
    async (request) => {
      const { vehicleId } = request.params;
      const entries = request.body.map((entry) => ({ vehicleId, ...entry }));
      await store.transaction(async (transaction) => {
        const changed = await storeVehicles(transaction, entries);
        if (changed.length === 0) return;
        await markDirty(transaction, Number.NEGATIVE_INFINITY, changed);
        const who = actorOf(principalOf(request));
        await noteAudit(transaction, clock.now(), who, 'change-vehicle', `vehicle/${vehicleId}`);
        const change = { subject: 'vehicle', subjectId: vehicleId, change: 'changed', revision: 0 } as const;
        await noteChanges(transaction, [change], clock.now());
      });
      return wireVehicle((await vehicleProgress(store, vehicleId)) ?? { vehicleId }, entries, null);
    },
  );
}

type Progress = Pick<VehicleProgress, 'vehicleId'> & Partial<VehicleProgress>;

function wireVehicle(
  progress: Progress,
  statements: readonly Vehicle[],
  learned: z.output<typeof vehicleMessage>['learned'],
) {
  const { vehicleId, firstReadingMs, lastReadingMs, analysedUntilMs } = progress;
  return {
    vehicleId,
    statements: [...statements],
    firstReadingTime: firstReadingMs === undefined ? null : iso(firstReadingMs),
    lastReadingTime: lastReadingMs === undefined ? null : iso(lastReadingMs),
    analysedUntil: isoOrNull(analysedUntilMs ?? null),
    learned,
  };
}
