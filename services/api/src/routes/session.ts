/** Signing in and out, and the password of whoever is signed in. */

import type { Context } from '@gearhold/http';
import {
  type Api,
  about,
  csrfHeader,
  nothing,
  ProblemError,
  passwordFits,
  passwordHash,
  principalOf,
  problemAnswers,
  secretHash,
  sessionCookie,
} from '@gearhold/http';
import { credentials, passwordChange, self, session } from '@gearhold/schemas/api';
import { endSession, endSessionsOf, liveSession, noteAudit, personById, setPassword } from '@gearhold/store';
import type { FastifyReply } from 'fastify';
import { signIn } from '../access/sign-in.ts';
import { actorOf, iso, wirePerson } from '../access/wire.ts';

export function addSessionRoutes(app: Api, { store, clock, https }: Context): void {
  const cookieOptions = { path: '/', httpOnly: true, sameSite: 'strict', secure: https } as const;

  app.post(
    '/v1/session',
    {
      config: { access: 'open', rateLimit: { max: 30, timeWindow: 60_000 } },
      schema: {
        ...about('open', { operationId: 'signIn', tags: ['Session'], summary: 'Sign in with a password' }),
        body: credentials,
        response: { 201: session, ...problemAnswers },
      },
    },
    async (request, reply) => {
      const { login, password } = request.body;
      const signedIn = await signIn(store, login, password, clock.now());
      reply.setCookie(sessionCookie, signedIn.cookie, { ...cookieOptions, expires: new Date(signedIn.expiresMs) });
      reply.code(201);
      return {
        person: wirePerson(signedIn.person),
        csrfToken: signedIn.csrfToken,
        expiresTime: iso(signedIn.expiresMs),
      };
    },
  );

  app.get(
    '/v1/session',
    {
      config: { access: 'signed-in', beforePasswordChange: true },
      schema: {
        ...about('signed-in', {
          operationId: 'getSession',
          tags: ['Session'],
          summary: 'The session of the cookie, with its CSRF token',
        }),
        response: { 200: session, ...problemAnswers },
      },
    },
    async (request) => {
      const hash = secretHash(request.cookies[sessionCookie] ?? '');
      const live = await liveSession(store, hash, clock.now());
      const person = live === null ? null : await personById(store, live.personId);
      if (live === null || person === null) throw new ProblemError('not-signed-in');
      return { person: wirePerson(person), csrfToken: live.csrfToken, expiresTime: iso(live.expiresMs) };
    },
  );

  app.delete(
    '/v1/session',
    {
      config: { access: 'signed-in', beforePasswordChange: true },
      schema: {
        ...about('signed-in', { operationId: 'signOut', tags: ['Session'], summary: 'Sign out' }),
        response: { 204: nothing, ...problemAnswers },
      },
    },
    async (request, reply) => {
      await endSession(store, secretHash(request.cookies[sessionCookie] ?? ''));
      return gone(reply.clearCookie(sessionCookie, cookieOptions));
    },
  );

  app.put(
    '/v1/session/password',
    {
      config: { access: 'signed-in', beforePasswordChange: true, rateLimit: { max: 30, timeWindow: 60_000 } },
      schema: {
        ...about('signed-in', {
          operationId: 'changePassword',
          tags: ['Session'],
          summary: 'Set a new password',
          description: `Ends every other session of the person. A change by cookie needs ${csrfHeader}.`,
        }),
        body: passwordChange,
        response: { 204: nothing, ...problemAnswers },
      },
    },
    async (request, reply) => {
      const principal = principalOf(request);
      const person = principal.kind === 'person' ? await personById(store, principal.id) : null;
      if (person === null) throw new ProblemError('not-allowed', 'Only a person who is signed in has a password.');
      if (!(await passwordFits(request.body.presentPassword, person.passwordHash))) {
        throw new ProblemError('sign-in-refused', 'The present password is wrong.');
      }
      if (request.body.newPassword === request.body.presentPassword) {
        throw new ProblemError('content-unusable', 'The new password is the present one; choose another.');
      }
      const hash = await passwordHash(request.body.newPassword);
      await store.transaction(async (transaction) => {
        await setPassword(transaction, person.personId, hash, false);
        await endSessionsOf(transaction, person.personId, secretHash(request.cookies[sessionCookie] ?? ''));
        await noteAudit(transaction, clock.now(), actorOf(principal), 'change-password', `person/${person.login}`);
      });
      return gone(reply);
    },
  );

  app.get(
    '/v1/self',
    {
      config: { access: 'signed-in' },
      schema: {
        ...about('signed-in', { operationId: 'getSelf', tags: ['Session'], summary: 'Who asks, and what they may' }),
        response: { 200: self, ...problemAnswers },
      },
    },
    async (request) => {
      const { kind, id, name, scopes, terminals, driverNames } = principalOf(request);
      return { kind, id, name, scopes: [...scopes], terminals: terminals && [...terminals], driverNames };
    },
  );
}

function gone(reply: FastifyReply): undefined {
  reply.code(204);
  return undefined;
}
