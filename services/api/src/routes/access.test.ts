import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { admitFirst } from '../access/first-start.ts';
import { type Service, startService } from '../testing/service.ts';

let service: Service;
let oneTime: string;
beforeAll(async () => {
  service = await startService();
  oneTime = (await admitFirst(service.store, service.nowMs()))!;
});
afterAll(() => service.close());

const password = 'a long new password';

async function signIn(login: string, given: string) {
  const answer = await service.app.inject({ method: 'POST', url: '/v1/session', payload: { login, password: given } });
  const cookie = answer.cookies.find(({ name }) => name === 'gearhold-session');
  return { answer, cookies: { 'gearhold-session': cookie?.value ?? '' }, cookie };
}

describe('the first start', () => {
  it('admits one administrator, once', async () => {
    expect(oneTime).toMatch(/^[a-z2-9-]{19}$/);
    expect(await admitFirst(service.store, service.nowMs())).toBeNull();
  });

  it('opens nothing with the one-time password but its replacement', async () => {
    const { answer, cookies, cookie } = await signIn('admin', oneTime);
    expect(answer.statusCode).toBe(201);
    expect(cookie).toMatchObject({ httpOnly: true, sameSite: 'Strict' });
    const { csrfToken } = answer.json();
    const tokens = await service.app.inject({ url: '/v1/tokens', cookies });
    expect(tokens.json().type).toBe('/problems/password-must-change');
    const change = (payload: object, headers = {}) =>
      service.app.inject({ method: 'PUT', url: '/v1/session/password', cookies, headers, payload });
    const wanted = { presentPassword: oneTime, newPassword: password };
    expect((await change(wanted)).json().type).toBe('/problems/csrf-refused');
    const csrf = { 'x-csrf-token': csrfToken };
    expect((await change({ ...wanted, newPassword: 'short' }, csrf)).statusCode).toBe(400);
    expect((await change({ ...wanted, newPassword: oneTime }, csrf)).statusCode).toBe(422);
    expect((await change(wanted, csrf)).statusCode).toBe(204);
    expect((await service.app.inject({ url: '/v1/tokens', cookies })).statusCode).toBe(200);
    expect((await signIn('admin', oneTime)).answer.statusCode).toBe(401);
  });
});

describe('people', () => {
  it('are admitted, changed and disabled by an administrator, and it is all in the log', async () => {
    const headers = await service.token(['administer']);
    const made = await service.app.inject({
      method: 'POST',
      url: '/v1/people',
      headers,
      payload: { login: 'lead', name: 'A lead', scopes: ['read', 'review'], terminals: ['north'], driverNames: true },
    });
    expect(made.statusCode).toBe(201);
    const { personId, oneTimePassword } = made.json();
    const again = await service.app.inject({
      method: 'POST',
      url: '/v1/people',
      headers,
      payload: { login: 'lead', name: 'Another', scopes: ['read'], terminals: null, driverNames: false },
    });
    expect(again.json().detail).toContain("'lead' already");
    const { cookies } = await signIn('lead', oneTimePassword);
    const url = `/v1/people/${personId}`;
    const disabled = await service.app.inject({ method: 'PATCH', url, headers, payload: { disabled: true } });
    expect(disabled.json()).toMatchObject({ disabled: true, terminals: ['north'] });
    expect((await service.app.inject({ url: '/v1/session', cookies })).statusCode).toBe(401);
    expect((await signIn('lead', oneTimePassword)).answer.statusCode).toBe(401);
    const log = await service.app.inject({ url: '/v1/audit?subject=person%2Flead', headers });
    expect(log.json().items.map((entry: { action: string }) => entry.action)).toEqual([
      'change-person',
      'admit-person',
    ]);
    expect(log.body).not.toContain(oneTimePassword);
  });

  it('cannot lose their last administrator', async () => {
    const headers = await service.token(['administer']);
    const list = await service.app.inject({ url: '/v1/people', headers });
    const admin = list.json().items.find((person: { login: string }) => person.login === 'admin');
    const url = `/v1/people/${admin.personId}`;
    for (const payload of [{ disabled: true }, { scopes: ['read'] }]) {
      const answer = await service.app.inject({ method: 'PATCH', url, headers, payload });
      expect(answer.statusCode).toBe(409);
    }
    expect((await signIn('admin', password)).answer.statusCode).toBe(201);
  });
});

describe('signing in', () => {
  it('tells no name from no password, and locks after ten wrong ones', async () => {
    const nobody = await signIn('nobody', 'x');
    const wrong = await signIn('admin', 'x');
    const shape = ({ detail, title, type }: Record<string, string>) => ({ detail, title, type });
    expect(shape(nobody.answer.json())).toEqual(shape(wrong.answer.json()));
    for (let attempt = 0; attempt < 9; attempt++) await signIn('admin', 'x');
    const locked = await signIn('admin', password);
    expect(locked.answer.json().type).toBe('/problems/sign-in-locked');
    expect(Number(locked.answer.headers['retry-after'])).toBeGreaterThan(800);
    service.setNow(service.nowMs() + 16 * 60_000);
    expect((await signIn('admin', password)).answer.statusCode).toBe(201);
  });
});

describe('tokens', () => {
  it('are shown once, open what their scopes say, and end by time or by being revoked', async () => {
    const headers = await service.token(['administer']);
    const expiresTime = new Date(service.nowMs() + 3_600_000).toISOString();
    const issue = await service.app.inject({
      method: 'POST',
      url: '/v1/tokens',
      headers,
      payload: { name: 'gateway', scopes: ['read'], terminals: null, driverNames: false, expiresTime },
    });
    const { secret, tokenId } = issue.json();
    const as = { authorization: `Bearer ${secret}` };
    expect((await service.app.inject({ url: '/v1/self', headers: as })).json()).toMatchObject({ scopes: ['read'] });
    expect((await service.app.inject({ url: '/v1/tokens', headers: as })).statusCode).toBe(403);
    const list = await service.app.inject({ url: '/v1/tokens?limit=1000', headers });
    expect(list.body).toContain(tokenId);
    expect(list.body).not.toContain(secret);
    const url = `/v1/tokens/${tokenId}`;
    expect((await service.app.inject({ method: 'DELETE', url, headers })).json().revokedTime).not.toBeNull();
    expect((await service.app.inject({ url: '/v1/self', headers: as })).statusCode).toBe(401);
  });

  it('come in pages that neither skip nor repeat', async () => {
    const headers = await service.token(['administer']);
    const seen: string[] = [];
    let cursor: string | null = null;
    do {
      const query: string = cursor === null ? '' : `&cursor=${cursor}`;
      const page = (await service.app.inject({ url: `/v1/tokens?limit=2${query}`, headers })).json();
      seen.push(...page.items.map((token: { tokenId: string }) => token.tokenId));
      if (seen.length < 4) await service.token(['read']);
      cursor = page.nextCursor;
    } while (cursor !== null);
    expect(new Set(seen).size).toBe(seen.length);
    expect(seen.length).toBeGreaterThanOrEqual(6);
  });
});
