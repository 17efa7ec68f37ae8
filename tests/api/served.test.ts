/**
 * Every address of the document against a service that holds the demo fleet: who lacks the scope is turned away, who sees another
 * terminal gets nothing, and the examples of the reference do what they say. The tables follow the document, so that an address
 * that is added later is tested too.
 */
import type { Scope } from '@gearhold/http';
import { storeDrivers } from '@gearhold/store';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type Example, exampleCommand, examples } from '../../services/api/src/document/examples.ts';
import { demoFile, startDemo } from '../../services/api/src/testing/demo.ts';
import { committedDocument, type Operation, operationsOf } from './committed.ts';

type Method = 'GET' | 'POST' | 'PUT' | 'PATCH' | 'DELETE';
type Headers = Record<string, string>;

const operations = operationsOf(committedDocument());
const scopes: readonly Scope[] = ['read', 'ingest', 'review', 'administer'];

let service: Awaited<ReturnType<typeof startDemo>>;
/** Ids of things that exist, by the name of the parameter; a parameter that is missing here fails its test. */
let known: Record<string, string>;
const tokens = {} as Record<Scope, Headers>;

beforeAll(async () => {
  service = await startDemo();
  for (const scope of scopes) tokens[scope] = await service.token([scope]);
  const [driver] = [{ driverId: 'D-31', name: 'A driver', terminal: 'cairn', from: null, until: null }];
  await service.store.transaction((transaction) => storeDrivers(transaction, [driver!]));
  const list = async (url: string) => (await ask('GET', url, service.admin)).json().items;
  const [anomaly] = await list('/v1/anomalies?limit=1');
  const profile = { time: { column: 'T' }, vehicleId: { column: 'V' }, signals: { gear: { from: 'G' } } };
  await ask('PUT', '/v1/profiles/a-profile', service.admin, profile);
  const draft = { name: 'a draft', document: { version: 1, checks: { 'gear-hold-pause': { minSeconds: 40 } } } };
  const hook = await ask('POST', '/v1/webhooks', service.admin, { name: 'a hook', url: 'https://example.org/' });
  const person = { login: 'somebody', name: 'Somebody', scopes: ['read'], terminals: null, driverNames: false };
  const { webhookId, secrets } = hook.json().webhook;
  known = {
    episodeId: anomaly.episodeId,
    check: anomaly.check,
    vehicleId: anomaly.vehicleId,
    siteId: demoFile('sites.json')[0].siteId,
    driverId: 'D-31',
    name: 'a-profile',
    policyId: (await ask('POST', '/v1/policies', service.admin, draft)).json().policyId,
    fileId: (await list('/v1/files'))[0].fileId,
    webhookId,
    secretId: secrets[0].secretId,
    deliveryId: (await ask('POST', `/v1/webhooks/${webhookId}/test`, service.admin)).json().deliveryId,
    personId: (await ask('POST', '/v1/people', service.admin, person)).json().personId,
    tokenId: (await list('/v1/tokens'))[0].tokenId,
  };
}, 300_000);

afterAll(() => service.close());

function ask(method: Method, url: string, headers: Headers, payload?: object | string) {
  return service.app.inject({ method, url, headers, ...(payload !== undefined && { payload }) });
}

/** An address with ids of things that exist. */
function addressed(path: string): string {
  return path.replaceAll(/\{(\w+)\}/g, (_, name: string) => {
    expect(known, `say in this test what ${name} may be`).toHaveProperty(name);
    return encodeURIComponent(known[name]!);
  });
}

function neededScope({ security }: Operation): Scope | 'signed-in' | null {
  if (security === undefined || security.length === 0) return null;
  return (security[0]!.token?.[0] as Scope | undefined) ?? 'signed-in';
}

const named = operations.map(({ path, method, operation }) => ({
  name: operation.operationId,
  path,
  method: method as Method,
  needs: neededScope(operation),
}));

describe('who may not, is turned away from', () => {
  it.each(named.filter(({ needs }) => needs !== null))('$name', async ({ path, method, needs }) => {
    const url = addressed(path);
    expect((await ask(method, url, {})).json().type).toBe('/problems/not-signed-in');
    const unknown = await ask(method, url, { authorization: 'Bearer ghk_unknown' });
    expect(unknown.json().type).toBe('/problems/token-refused');
    if (needs === 'signed-in' || needs === null) return;
    for (const scope of scopes.filter((one) => one !== needs && one !== 'administer')) {
      expect((await ask(method, url, tokens[scope])).json().type, scope).toBe('/problems/not-allowed');
    }
    if (method === 'GET') expect((await ask(method, url, tokens[needs])).statusCode).toBe(200);
  });

  it('and only signing in is open', () => {
    expect(named.filter(({ needs }) => needs === null).map(({ name }) => name)).toEqual(['signIn']);
  });
});

/** Said of the whole fleet, the same to everybody who may read. */
const ofTheFleet = ['listPolicies', 'comparePolicy', 'listProfiles', 'getProfile', 'previewProfile'];

describe('who sees another terminal only, gets nothing of', () => {
  const told = named.filter(({ needs, name }) => needs !== null && needs !== 'signed-in' && !ofTheFleet.includes(name));
  it.each(told)('$name', async ({ path, method, needs, name }) => {
    const headers = await service.token([needs as Scope], { terminals: ['nowhere'] });
    const url = addressed(path);
    if (needs === 'administer') {
      expect((await ask(method, url, headers)).json().type).toBe('/problems/not-allowed');
    } else if (method === 'GET') {
      const answer = await ask(method, url, headers);
      if (path.includes('{')) expect(answer.json().type).toBe('/problems/not-found');
      else expect(answer.json().items).toEqual([]);
      for (const accept of ['application/x-ndjson', 'text/csv']) {
        const streamed = await ask(method, url, { ...headers, accept });
        if (streamed.statusCode === 200) expect(streamed.body.split('\n').length).toBeLessThanOrEqual(2);
        expect(streamed.body).not.toContain(known.vehicleId);
      }
    } else if (name === 'review') {
      const body = { anomalyIds: [`${known.episodeId}/${known.check}`], action: 'confirm' };
      expect((await ask(method, url, headers, body)).json().type).toBe('/problems/not-found');
    } else {
      // Readings are taken from whoever may send them, and nothing that was there is told.
      expect(name).toBe('sendReadings');
    }
  });
});

describe('an example of the reference:', () => {
  const ids: Record<string, string> = {};
  const filled = (text: string) =>
    text.replaceAll(/\$([A-Z]+)/g, (_, name: string) => {
      expect(ids, `say in this test what $${name} is`).toHaveProperty(name);
      return ids[name]!;
    });

  beforeAll(() => {
    ids.EPISODE = known.episodeId!;
    ids.ANOMALY = `${known.episodeId}/${known.check}`;
    ids.VEHICLE = known.vehicleId!;
    ids.SITE = known.siteId!;
    ids.DRAFT = known.policyId!;
    ids.DRIVER = known.driverId!;
    ids.FILE = known.fileId!;
  });

  it.each(examples.map((example) => ({ ...example, name: `${example.operationId}, ${example.title}` })))(
    '$name',
    async (example: Example) => {
      const { method, path, headers = {}, body, operationId } = example;
      const answer = await ask(method, filled(path), { ...service.admin, ...headers }, body && filled(body));
      expect(answer.statusCode, answer.body).toBeGreaterThanOrEqual(200);
      expect(answer.statusCode, answer.body).toBeLessThan(300);
      const wanted = headers.accept ?? 'application/json';
      expect(answer.headers['content-type']).toContain(wanted);
      expect(answer.body.length).toBeGreaterThan(2);
      const own = operations.find(({ operation }) => operation.operationId === operationId);
      expect(own?.method).toBe(method);
      const pattern = new RegExp(`^${own!.path.replaceAll(/\{\w+\}/g, '[^/?]+')}(\\?|$)`);
      expect(filled(path)).toMatch(pattern);
      expect(exampleCommand(example)).toContain('curl');
    },
  );

  it('stands beside every address that is read or sent to, but those that need a password or a moment', () => {
    const shown = new Set(examples.map(({ operationId }) => operationId));
    const without = named.map(({ name }) => name).filter((name) => !shown.has(name));
    expect(without.sort()).toEqual(withoutExample.toSorted());
  });
});

/** Sessions are the console's; the rest take back or repeat what an example made. */
const withoutExample = [
  'signIn',
  'signOut',
  'getSession',
  'changePassword',
  'resetPassword',
  'changePerson',
  'revokeToken',
  'dropDraft',
  'dropProfile',
  'enforcePolicy',
  'removeSite',
  'getDriver',
  'getWebhook',
  'changeWebhook',
  'removeWebhook',
  'addWebhookSecret',
  'removeWebhookSecret',
  'testWebhook',
  'listDeliveries',
  'resendDelivery',
];

it('every page of a problem tells what the code says, and the list names each', async () => {
  const { problemKinds } = await import('@gearhold/http');
  const list = (await service.app.inject('/problems')).body;
  const listed = [...list.matchAll(/href="\/problems\/([\w-]+)"/g)].map(([, name]) => name);
  expect(listed).toEqual(Object.keys(problemKinds));
  for (const [name, kind] of Object.entries(problemKinds)) {
    const told = (await service.app.inject(`/problems/${name}`)).json();
    expect(told).toEqual({ type: `/problems/${name}`, ...kind });
    const page = await service.app.inject({ url: `/problems/${name}`, headers: { accept: 'text/html' } });
    expect(page.body).toContain(kind.title.replaceAll("'", '&#39;'));
  }
});
