/**
 * The gate before every route: who asks, and whether the route's scope is held. Every route states in its config what it
 * asks for; one that does not cannot be registered, so that nothing is open by oversight.
 */
import type { FastifyInstance, FastifyRequest } from 'fastify';
import { ProblemError } from '../problems/problem.ts';
import { holds, type Principal, type Scope } from './principal.ts';
import { sameSecret, secretHash } from './secrets.ts';

/** What a route asks of its caller: nothing, to be signed in, or a scope. */
export type Access = 'open' | 'signed-in' | Scope;

/** A person who signed in with a one-time password may use only routes that allow it. */
export interface AccessConfig {
  readonly access: Access;
  readonly beforePasswordChange?: boolean;
}

declare module 'fastify' {
  interface FastifyContextConfig {
    access?: Access;
    beforePasswordChange?: boolean;
  }
  interface FastifyRequest {
    /** Who asks; null on open routes where nobody showed a token or session. */
    principal: Principal | null;
  }
}

export interface Session {
  readonly principal: Principal;
  /** SHA-256 of the token that a change by cookie must show. */
  readonly csrfToken: string;
}

/** Where tokens and sessions are looked up: by hash, live ones only. */
export interface Keys {
  token(hash: string, nowMs: number): Promise<Principal | null>;
  session(hash: string, nowMs: number): Promise<Session | null>;
}

export interface GateOptions {
  readonly keys: Keys;
  readonly nowMs: () => number;
}

export const sessionCookie = 'gearhold-session';
export const csrfHeader = 'x-csrf-token';

const safeMethods = new Set(['GET', 'HEAD', 'OPTIONS']);

/** Puts the gate before every route that is registered after it. */
export function addGate(app: FastifyInstance, options: GateOptions): void {
  app.decorateRequest('principal', null);
  const gate = async (request: FastifyRequest): Promise<void> => {
    const { access, beforePasswordChange } = request.routeOptions.config;
    request.principal = await whoAsks(request, options);
    if (access !== 'open') admit(request.principal, access!, beforePasswordChange === true);
  };
  app.addHook('onRoute', (route) => {
    if (route.config?.access === undefined) {
      throw new Error(`${route.method} ${route.url} does not state its access in its config`);
    }
    // On the route and not on the application, so that it comes after the rate limit: guesses at tokens count.
    const before = route.onRequest ?? [];
    route.onRequest = [...(Array.isArray(before) ? before : [before]), gate];
  });
}

/** The principal of a request that its route has let in. */
export function principalOf(request: FastifyRequest): Principal {
  if (request.principal === null) throw new ProblemError('not-signed-in');
  return request.principal;
}

function admit(principal: Principal | null, access: Exclude<Access, 'open'>, beforePasswordChange: boolean): void {
  if (principal === null) {
    throw new ProblemError('not-signed-in', undefined, { headers: { 'www-authenticate': 'Bearer realm="gearhold"' } });
  }
  if (principal.mustChangePassword && !beforePasswordChange) throw new ProblemError('password-must-change');
  if (access !== 'signed-in' && !holds(principal, access)) {
    throw new ProblemError('not-allowed', `This needs the scope '${access}', which ${principal.name} does not hold.`);
  }
  // What is administered belongs to the whole fleet: rejected rows, the audit log, who may see what.
  if (access === 'administer' && principal.terminals !== null) {
    throw new ProblemError('not-allowed', `This is for who sees all terminals; ${principal.name} is limited to some.`);
  }
}

async function whoAsks(request: FastifyRequest, { keys, nowMs }: GateOptions): Promise<Principal | null> {
  const authorization = request.headers.authorization;
  if (authorization !== undefined) {
    const token = /^Bearer ([\w.~+/-]{1,200}=*)$/i.exec(authorization)?.[1];
    const principal = token === undefined ? null : await keys.token(secretHash(token), nowMs());
    if (principal === null) {
      throw new ProblemError('token-refused', undefined, {
        headers: { 'www-authenticate': 'Bearer realm="gearhold", error="invalid_token"' },
      });
    }
    return principal;
  }
  const cookie = request.cookies?.[sessionCookie];
  if (cookie === undefined) return null;
  const session = await keys.session(secretHash(cookie), nowMs());
  if (session === null) return null;
  if (!safeMethods.has(request.method)) {
    const shown = request.headers[csrfHeader];
    if (typeof shown !== 'string' || !sameSecret(shown, session.csrfToken)) throw new ProblemError('csrf-refused');
  }
  return session.principal;
}
