/** Source profiles: somebody else's columns, units, times and codes, tried on the first rows before they are kept. */
import {
  type Api,
  about,
  type Context,
  ifMatch,
  nothing,
  ProblemError,
  principalOf,
  problemAnswers,
  readCursor,
  requireMatch,
  writeCursor,
} from '@gearhold/http';
import { pageQuery, preview, previewRequest, profileGiven, profilePage, storedProfile } from '@gearhold/schemas/api';
import {
  dropSourceProfile,
  keepSourceProfile,
  noteAudit,
  type StoredProfile,
  sourceProfile,
  sourceProfiles,
} from '@gearhold/store';
import { z } from 'zod';
import { actorOf, iso } from '../access/wire.ts';
import { previewRows } from '../matters/preview.ts';

const tags = ['Source profiles'] as const;
const byName = z.strictObject({ name: z.string().min(1).max(64) });

export function addProfileRoutes(app: Api, { store, clock }: Context): void {
  app.get(
    '/v1/profiles',
    {
      config: { access: 'read' },
      schema: {
        ...about('read', { operationId: 'listProfiles', tags, summary: 'Source profiles by name' }),
        querystring: pageQuery,
        response: { 200: profilePage, ...problemAnswers },
      },
    },
    async ({ query: { limit, cursor } }) => {
      const asked = { list: 'profiles' };
      const after = cursor === undefined ? null : (readCursor(asked, cursor, ['string'])[0] as string);
      const found = await sourceProfiles(store, after, limit + 1);
      const items = found.slice(0, limit);
      const last = items.at(-1);
      const more = found.length > limit && last !== undefined;
      return { items: items.map(wireProfile), nextCursor: more ? writeCursor(asked, [last.name]) : null };
    },
  );

  app.get(
    '/v1/profiles/:name',
    {
      config: { access: 'read' },
      schema: {
        ...about('read', { operationId: 'getProfile', tags, summary: 'One source profile' }),
        params: byName,
        response: { 200: storedProfile, ...problemAnswers },
      },
    },
    async ({ params: { name } }) => {
      const found = await sourceProfile(store, name);
      if (found === null) throw new ProblemError('not-found');
      return wireProfile(found);
    },
  );

  app.put(
    '/v1/profiles/:name',
    {
      config: { access: 'administer' },
      schema: {
        ...about('administer', {
          operationId: 'putProfile',
          tags,
          summary: 'Keep a source profile under a name',
          description: 'Replaces what was kept under it. `If-Match` refuses that where it has changed meanwhile.',
        }),
        params: byName,
        headers: ifMatch,
        body: profileGiven,
        response: { 200: storedProfile, ...problemAnswers },
      },
    },
    async (request) => {
      const { name } = request.params;
      const profile = { name, document: JSON.stringify(request.body), changedMs: clock.now() };
      await store.transaction(async (transaction) => {
        const held = await sourceProfile(transaction, name);
        requireMatch(request.headers['if-match'], storedProfile, held === null ? null : wireProfile(held));
        await keepSourceProfile(transaction, profile);
        const who = actorOf(principalOf(request));
        await noteAudit(transaction, clock.now(), who, 'keep-profile', `profile/${name}`);
      });
      return wireProfile(profile);
    },
  );

  app.delete(
    '/v1/profiles/:name',
    {
      config: { access: 'administer' },
      schema: {
        ...about('administer', { operationId: 'dropProfile', tags, summary: 'Drop a source profile' }),
        params: byName,
        response: { 204: nothing, ...problemAnswers },
      },
    },
    async (request, reply) => {
      const { name } = request.params;
      if (!(await dropSourceProfile(store, name))) throw new ProblemError('not-found');
      const who = actorOf(principalOf(request));
      await noteAudit(store, clock.now(), who, 'drop-profile', `profile/${name}`);
      reply.code(204);
      return undefined;
    },
  );

  app.post(
    '/v1/profiles/preview',
    {
      config: { access: 'read' },
      schema: {
        ...about('read', {
          operationId: 'previewProfile',
          tags,
          summary: 'Try a profile on the first rows of a file',
          description:
            'Tells what was understood, what was rejected and why, and what is wrong with the profile. Nothing is kept.',
        }),
        body: previewRequest,
        response: { 200: preview, ...problemAnswers },
      },
    },
    async ({ body }) => previewRows(body),
  );
}

function wireProfile({ name, document, changedMs }: StoredProfile) {
  return { name, changedTime: iso(changedMs), profile: JSON.parse(document) as Record<string, unknown> };
}
