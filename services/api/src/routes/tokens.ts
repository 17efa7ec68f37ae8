/** Tokens of programs, for administrators. */
import { randomUUID } from 'node:crypto';
import type { Context } from '@gearhold/http';
import {
  type Api,
  about,
  newSecret,
  ProblemError,
  principalOf,
  problemAnswers,
  readCursor,
  secretHash,
  tokenPrefix,
  writeCursor,
} from '@gearhold/http';
import { issuedToken, newToken, pageQuery, token, tokenPage } from '@gearhold/schemas/api';
import { issueToken, noteAudit, revokeToken, tokens } from '@gearhold/store';
import { z } from 'zod';
import { actorOf, wireToken } from '../access/wire.ts';

const tags = ['Tokens'] as const;

export function addTokenRoutes(app: Api, { store, clock }: Context): void {
  app.get(
    '/v1/tokens',
    {
      config: { access: 'administer' },
      schema: {
        ...about('administer', { operationId: 'listTokens', tags, summary: 'Tokens, the oldest first' }),
        querystring: pageQuery,
        response: { 200: tokenPage, ...problemAnswers },
      },
    },
    async ({ query: { limit, cursor } }) => {
      const asked = { list: 'tokens' };
      const key = cursor === undefined ? null : readCursor(asked, cursor, ['number', 'string']);
      const after = key && { createdMs: key[0] as number, tokenId: key[1] as string };
      const found = await tokens(store, after, limit + 1);
      const items = found.slice(0, limit);
      const last = items.at(-1);
      const more = found.length > limit && last !== undefined;
      return {
        items: items.map(wireToken),
        nextCursor: more ? writeCursor(asked, [last.createdMs, last.tokenId]) : null,
      };
    },
  );

  app.post(
    '/v1/tokens',
    {
      config: { access: 'administer' },
      schema: {
        ...about('administer', {
          operationId: 'issueToken',
          tags,
          summary: 'Issue a token to a program',
          description: 'The secret is shown this once; only its hash is kept.',
        }),
        body: newToken,
        response: { 201: issuedToken, ...problemAnswers },
      },
    },
    async (request, reply) => {
      const { name, scopes, terminals, driverNames, expiresTime } = request.body;
      const expiresMs = expiresTime === null ? null : Date.parse(expiresTime);
      if (expiresMs !== null && expiresMs <= clock.now()) {
        throw new ProblemError('content-unusable', 'expiresTime has passed already; give one that is to come.');
      }
      const secret = newSecret(tokenPrefix);
      const who = actorOf(principalOf(request));
      const issued = await store.transaction(async (transaction) => {
        const made = await issueToken(transaction, {
          tokenId: randomUUID(),
          tokenHash: secretHash(secret),
          name,
          scopes,
          terminals,
          driverNames,
          createdMs: clock.now(),
          createdBy: who.name,
          expiresMs,
        });
        await noteAudit(transaction, clock.now(), who, 'issue-token', `token/${made.tokenId}`, {
          name,
          scopes,
          terminals,
        });
        return made;
      });
      reply.code(201);
      return { ...wireToken(issued), secret };
    },
  );

  app.delete(
    '/v1/tokens/:tokenId',
    {
      config: { access: 'administer' },
      schema: {
        ...about('administer', { operationId: 'revokeToken', tags, summary: 'Revoke a token, at once and for good' }),
        params: z.strictObject({ tokenId: z.uuid() }),
        response: { 200: token, ...problemAnswers },
      },
    },
    async (request) =>
      store.transaction(async (transaction) => {
        const revoked = await revokeToken(transaction, request.params.tokenId, clock.now());
        if (revoked === null) throw new ProblemError('not-found');
        const who = actorOf(principalOf(request));
        await noteAudit(transaction, clock.now(), who, 'revoke-token', `token/${revoked.tokenId}`);
        return wireToken(revoked);
      }),
  );
}
