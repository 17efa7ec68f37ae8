/** Places that the fleet knows, with their ground and their terminal. */
import {
  type Api,
  about,
  type Context,
  ifMatch,
  nothing,
  type Principal,
  ProblemError,
  principalOf,
  problemAnswers,
  requireMatch,
} from '@gearhold/http';
import type { Site } from '@gearhold/policy';
import { siteGiven, site as siteMessage, sitePage } from '@gearhold/schemas/api';
import { type Engine, markDirty, noteAudit, noteChanges, readSites, storeSites } from '@gearhold/store';
import { z } from 'zod';
import { actorOf } from '../access/wire.ts';

const tags = ['Sites'] as const;
const byId = z.strictObject({ siteId: z.string().min(1).max(64) });

export function addSiteRoutes(app: Api, { store, clock }: Context): void {
  const seen = (principal: Principal, site: Site) =>
    principal.terminals === null || (site.terminal !== undefined && principal.terminals.includes(site.terminal));

  app.get(
    '/v1/sites',
    {
      config: { access: 'read' },
      schema: {
        ...about('read', {
          operationId: 'listSites',
          tags,
          summary: 'Sites, in the order in which they are looked up',
        }),
        response: { 200: sitePage, ...problemAnswers },
      },
    },
    async (request) => {
      const principal = principalOf(request);
      const sites = await readSites(store);
      return { items: sites.filter((site) => seen(principal, site)).map((site) => ({ site })), nextCursor: null };
    },
  );

  app.get(
    '/v1/sites/:siteId',
    {
      config: { access: 'read' },
      schema: {
        ...about('read', { operationId: 'getSite', tags, summary: 'One site' }),
        params: byId,
        response: { 200: siteMessage, ...problemAnswers },
      },
    },
    async (request) => {
      const sites = await readSites(store);
      const site = sites.find(({ siteId }) => siteId === request.params.siteId);
      if (site === undefined || !seen(principalOf(request), site)) throw new ProblemError('not-found');
      return { site };
    },
  );

  app.put(
    '/v1/sites/:siteId',
    {
      config: { access: 'administer' },
      schema: {
        ...about('administer', {
          operationId: 'putSite',
          tags,
          summary: 'State a site',
          description:
            'Episodes that it may touch are judged again. `If-Match` refuses it where the site has changed meanwhile.',
        }),
        params: byId,
        headers: ifMatch,
        body: siteGiven,
        response: { 200: siteMessage, ...problemAnswers },
      },
    },
    async (request) => {
      const site = request.body;
      if (site.siteId !== request.params.siteId) {
        throw new ProblemError('content-unusable', 'siteId in the body is another than in the address.', {
          places: [{ in: 'body', pointer: '/siteId', detail: `expected ${request.params.siteId}` }],
        });
      }
      await changeSites(store, clock.now(), actorOf(principalOf(request)), site.siteId, (sites) => {
        const at = sites.findIndex(({ siteId }) => siteId === site.siteId);
        const held = sites[at];
        requireMatch(request.headers['if-match'], siteMessage, held === undefined ? null : { site: held });
        return at < 0 ? [...sites, site] : sites.with(at, site);
      });
      return { site };
    },
  );

  app.delete(
    '/v1/sites/:siteId',
    {
      config: { access: 'administer' },
      schema: {
        ...about('administer', { operationId: 'removeSite', tags, summary: 'Remove a site' }),
        params: byId,
        response: { 204: nothing, ...problemAnswers },
      },
    },
    async (request, reply) => {
      const { siteId } = request.params;
      await changeSites(store, clock.now(), actorOf(principalOf(request)), siteId, (sites) => {
        const rest = sites.filter((site) => site.siteId !== siteId);
        if (rest.length === sites.length) throw new ProblemError('not-found');
        return rest;
      });
      reply.code(204);
      return undefined;
    },
  );
}

async function changeSites(
  store: Engine,
  nowMs: number,
  who: ReturnType<typeof actorOf>,
  siteId: string,
  change: (sites: readonly Site[]) => Site[],
): Promise<void> {
  await store.transaction(async (transaction) => {
    const changed = await storeSites(transaction, change(await readSites(transaction)));
    if (!changed) return;
    await markDirty(transaction, Number.NEGATIVE_INFINITY, 'all');
    await noteAudit(transaction, nowMs, who, 'change-site', `site/${siteId}`);
    await noteChanges(transaction, [{ subject: 'site', subjectId: siteId, change: 'changed', revision: 0 }], nowMs);
  });
}
