/** People who may sign in, for administrators. */
import { randomUUID } from 'node:crypto';
import type { Context } from '@gearhold/http';
import {
  type Api,
  about,
  newOneTimePassword,
  ProblemError,
  passwordHash,
  principalOf,
  problemAnswers,
  readCursor,
  writeCursor,
} from '@gearhold/http';
import { admittedPerson, newPerson, pageQuery, person, personChange, personPage } from '@gearhold/schemas/api';
import {
  admitPerson,
  changePerson,
  countAdministrators,
  endSessionsOf,
  noteAudit,
  people,
  personById,
  setPassword,
} from '@gearhold/store';
import { z } from 'zod';
import { actorOf, wirePerson } from '../access/wire.ts';

const tags = ['People'] as const;
const byId = z.strictObject({ personId: z.uuid() });

export function addPeopleRoutes(app: Api, { store, clock }: Context): void {
  app.get(
    '/v1/people',
    {
      config: { access: 'administer' },
      schema: {
        ...about('administer', { operationId: 'listPeople', tags, summary: 'People who may sign in, by login' }),
        querystring: pageQuery,
        response: { 200: personPage, ...problemAnswers },
      },
    },
    async ({ query: { limit, cursor } }) => {
      const asked = { list: 'people' };
      const after = cursor === undefined ? null : (readCursor(asked, cursor, ['string'])[0] as string);
      const found = await people(store, after, limit + 1);
      const items = found.slice(0, limit);
      const more = found.length > limit;
      return {
        items: items.map(wirePerson),
        nextCursor: more ? writeCursor(asked, [items.at(-1)!.login]) : null,
      };
    },
  );

  app.post(
    '/v1/people',
    {
      config: { access: 'administer' },
      schema: {
        ...about('administer', {
          operationId: 'admitPerson',
          tags,
          summary: 'Let a person sign in',
          description: 'Gives a one-time password, shown this once, which the person replaces on signing in.',
        }),
        body: newPerson,
        response: { 201: admittedPerson, ...problemAnswers },
      },
    },
    async (request, reply) => {
      const oneTimePassword = newOneTimePassword();
      const hash = await passwordHash(oneTimePassword);
      const personId = randomUUID();
      const { login } = request.body;
      await store.transaction(async (transaction) => {
        const admitted = await admitPerson(transaction, {
          ...request.body,
          personId,
          passwordHash: hash,
          createdMs: clock.now(),
        });
        if (!admitted) throw new ProblemError('state-conflict', `Somebody signs in as '${login}' already.`);
        const who = actorOf(principalOf(request));
        await noteAudit(transaction, clock.now(), who, 'admit-person', `person/${login}`, {
          scopes: request.body.scopes,
          terminals: request.body.terminals,
        });
      });
      reply.code(201).header('location', `/v1/people/${personId}`);
      return { ...wirePerson((await personById(store, personId))!), oneTimePassword };
    },
  );

  app.patch(
    '/v1/people/:personId',
    {
      config: { access: 'administer' },
      schema: {
        ...about('administer', {
          operationId: 'changePerson',
          tags,
          summary: 'Change what a person may, or disable them',
          description: 'Disabling ends every session. The last administrator can be neither disabled nor demoted.',
        }),
        params: byId,
        body: personChange,
        response: { 200: person, ...problemAnswers },
      },
    },
    async (request) => {
      const { personId } = request.params;
      return store.transaction(async (transaction) => {
        const changed = await changePerson(transaction, personId, request.body);
        if (changed === null) throw new ProblemError('not-found');
        if ((await countAdministrators(transaction)) === 0) {
          throw new ProblemError(
            'state-conflict',
            'Nobody could administer any more: admit another administrator first.',
          );
        }
        if (changed.disabled) await endSessionsOf(transaction, personId, null);
        const who = actorOf(principalOf(request));
        await noteAudit(transaction, clock.now(), who, 'change-person', `person/${changed.login}`, { ...request.body });
        return wirePerson(changed);
      });
    },
  );

  app.post(
    '/v1/people/:personId/password',
    {
      config: { access: 'administer' },
      schema: {
        ...about('administer', {
          operationId: 'resetPassword',
          tags,
          summary: 'Give a person a new one-time password',
          description: 'Shown this once. Ends every session of the person and any lock.',
        }),
        params: byId,
        response: { 201: admittedPerson, ...problemAnswers },
      },
    },
    async (request, reply) => {
      const { personId } = request.params;
      const oneTimePassword = newOneTimePassword();
      const hash = await passwordHash(oneTimePassword);
      const known = await store.transaction(async (transaction) => {
        await setPassword(transaction, personId, hash, true);
        const found = await personById(transaction, personId);
        if (found === null) throw new ProblemError('not-found');
        await endSessionsOf(transaction, personId, null);
        const who = actorOf(principalOf(request));
        await noteAudit(transaction, clock.now(), who, 'reset-password', `person/${found.login}`);
        return found;
      });
      reply.code(201);
      return { ...wirePerson(known), oneTimePassword };
    },
  );
}
