import { describe, expect, it } from 'vitest';
import { z } from 'zod';
import { addGate, type Keys, sessionCookie } from '../access/gate.ts';
import type { Principal } from '../access/principal.ts';
import { newSecret, secretHash } from '../access/secrets.ts';
import { ProblemError } from '../problems/problem.ts';
import { httpApp } from './app.ts';
import { newRegistry } from './metrics.ts';

const reader: Principal = {
  kind: 'token',
  id: 't1',
  name: 'a reader',
  scopes: new Set(['read']),
  terminals: null,
  driverNames: true,
  mustChangePassword: false,
};

const token = newSecret();
const cookie = newSecret();
const keys: Keys = {
  token: async (hash) => (hash === secretHash(token) ? reader : null),
  session: async (hash) =>
    hash === secretHash(cookie) ? { principal: { ...reader, kind: 'person' }, csrfToken: 'csrf' } : null,
};

async function app() {
  const made = await httpApp({ logger: false, registry: newRegistry() });
  addGate(made, { keys, nowMs: () => 0 });
  made.get('/open', { config: { access: 'open' } }, async () => ({ ok: true }));
  made.get('/read', { config: { access: 'read' } }, async (request) => ({ name: request.principal?.name }));
  made.post('/read', { config: { access: 'read' } }, async () => ({ ok: true }));
  made.get('/admin', { config: { access: 'administer' } }, async () => ({ ok: true }));
  made.get('/broken', { config: { access: 'open' } }, async () => {
    throw new Error('a secret detail');
  });
  made.get('/full', { config: { access: 'open' } }, async () => {
    throw new ProblemError('intake-full', undefined, { retryAfterSeconds: 1.2 });
  });
  made.get(
    '/things/:id',
    { config: { access: 'open' }, schema: { querystring: z.strictObject({ limit: z.coerce.number().int().min(1) }) } },
    async () => ({ ok: true }),
  );
  return made;
}

describe('an application of ours', () => {
  it('lets a token with the scope in, and nobody else', async () => {
    const made = await app();
    const answers = async (url: string, headers: Record<string, string> = {}) =>
      (await made.inject({ url, headers })).statusCode;
    const bearer = { authorization: `Bearer ${token}` };
    expect(await answers('/open')).toBe(200);
    expect(await answers('/read')).toBe(401);
    expect(await answers('/read', { authorization: 'Bearer other' })).toBe(401);
    expect(await answers('/read', { authorization: 'Basic abc' })).toBe(401);
    expect(await answers('/read', bearer)).toBe(200);
    expect(await answers('/admin', bearer)).toBe(403);
    await made.close();
  });

  it('takes a change by cookie only with the token of the session', async () => {
    const made = await app();
    const cookies = { [sessionCookie]: cookie };
    const post = async (headers: Record<string, string>) =>
      (await made.inject({ method: 'POST', url: '/read', cookies, headers })).statusCode;
    expect((await made.inject({ url: '/read', cookies })).statusCode).toBe(200);
    expect(await post({})).toBe(403);
    expect(await post({ 'x-csrf-token': 'other' })).toBe(403);
    expect(await post({ 'x-csrf-token': 'csrf' })).toBe(200);
    await made.close();
  });

  it('refuses to register a route that does not say who may', async () => {
    const made = await app();
    expect(() => made.get('/forgotten', async () => ({}))).toThrow(/does not state its access/);
    await made.close();
  });

  it('answers every error with a problem and tells nothing of a fault of ours but its id', async () => {
    const made = await app();
    const invalid = await made.inject({ url: '/things/1?limit=none' });
    expect(invalid.headers['content-type']).toContain('application/problem+json');
    expect(invalid.json()).toMatchObject({ type: '/problems/request-invalid', status: 400 });
    expect(invalid.json().errors[0]).toMatchObject({ in: 'query', pointer: '/limit' });
    const broken = await made.inject({ url: '/broken', headers: { 'x-request-id': 'abcdefgh-1' } });
    expect(broken.statusCode).toBe(500);
    expect(broken.body).not.toContain('secret');
    expect(broken.json().requestId).toBe('abcdefgh-1');
    const full = await made.inject('/full');
    expect([full.statusCode, full.headers['retry-after']]).toEqual([429, '2']);
    const method = await made.inject({ method: 'DELETE', url: '/things/7' });
    expect([method.statusCode, method.headers.allow]).toEqual([405, 'GET, HEAD']);
    expect((await made.inject('/nothing')).json().type).toBe('/problems/not-found');
    const json = await made.inject({
      method: 'POST',
      url: '/read',
      headers: { authorization: `Bearer ${token}`, 'content-type': 'application/json' },
      payload: '{',
    });
    expect(json.json().type).toBe('/problems/body-unreadable');
    await made.close();
  });

  it('tells the rate limit with every answer, and counts who is turned away', async () => {
    const made = await app();
    const limited = async (url: string, headers: Record<string, string> = {}) => {
      const answer = await made.inject({ url, headers });
      return { status: answer.statusCode, left: Number(answer.headers['x-ratelimit-remaining']), answer };
    };
    const first = await limited('/open');
    expect(first.answer.headers['x-ratelimit-limit']).toBe('1200');
    expect(first.answer.headers['x-ratelimit-reset']).toBe('60');
    const guessed = await limited('/read', { authorization: 'Bearer guess' });
    expect(guessed).toMatchObject({ status: 401, left: first.left - 1 });
    expect(await limited('/admin', { authorization: `Bearer ${token}` })).toMatchObject({
      status: 403,
      left: first.left - 2,
    });
    expect(await limited('/things/1?limit=x')).toMatchObject({ status: 400, left: first.left - 3 });
  });

  it('turns an address away that asks too often, and says for how long', async () => {
    const made = await httpApp({ logger: false, registry: newRegistry(), requestsPerMinute: 2 });
    addGate(made, { keys, nowMs: () => 0 });
    made.get('/read', { config: { access: 'read' } }, async () => ({ ok: true }));
    const ask = () => made.inject({ url: '/read', headers: { authorization: 'Bearer guess' } });
    expect([(await ask()).statusCode, (await ask()).statusCode]).toEqual([401, 401]);
    const refused = await ask();
    expect(refused.json().type).toBe('/problems/too-many-requests');
    expect(Number(refused.headers['retry-after'])).toBeGreaterThan(0);
    expect(refused.headers['x-ratelimit-limit']).toBe('2');
  });

  it('answers with a problem what it refuses before there is a route', async () => {
    const made = await app();
    const long = await made.inject(`/things/${'x'.repeat(301)}`);
    expect(long.json()).toMatchObject({ type: '/problems/not-found', status: 404 });
    expect(long.headers['content-type']).toContain('application/problem+json');
    const broken = await made.inject('/things/%E0%A4%A');
    expect(broken.json()).toMatchObject({ type: '/problems/request-invalid', status: 400 });
  });
});
