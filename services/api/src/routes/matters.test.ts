/** The demo fleet's day, sent in by the API, analysed, read, decided on and told to a webhook. */
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { allowedAddresses, deliverDue, fanOut } from '@gearhold/operations/notify';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { wireAnomaly } from '../matters/anomaly.ts';
import { demoFile, sendDemo, stateDemo } from '../testing/demo.ts';
import { type Service, startService } from '../testing/service.ts';

let service: Service;
let admin: { authorization: string };
let hooked: { headers: Record<string, unknown>; body: string }[];
const receiver = createServer((request, response) => {
  let body = '';
  request.on('data', (part) => {
    body += part;
  });
  request.on('end', () => {
    hooked.push({ headers: request.headers, body });
    response.writeHead(204).end();
  });
});

beforeAll(async () => {
  hooked = [];
  await new Promise<void>((resolve) => receiver.listen(0, '127.0.0.1', resolve));
  service = await startService({ webhookAddresses: allowedAddresses(['127.0.0.0/8']) });
  admin = await service.token(['administer']);
  await stateDemo(service, admin);
  const url = `http://127.0.0.1:${(receiver.address() as AddressInfo).port}/hook`;
  const payload = { name: 'a receiver', url };
  const made = await service.app.inject({ method: 'POST', url: '/v1/webhooks', headers: admin, payload });
  expect(made.statusCode, made.body).toBe(201);
  await tell();
  expect(await sendDemo(service, admin)).toBeGreaterThan(10_000);
  await tell();
}, 240_000);

afterAll(async () => {
  await service.close();
  receiver.close();
});

const get = (url: string, headers: Record<string, string> = admin) => service.app.inject({ url, headers });
const send = (payload: Buffer | string, headers: Record<string, string> = {}) =>
  service.app.inject({
    method: 'POST',
    url: '/v1/readings',
    headers: { 'content-type': 'text/csv', ...admin, ...headers },
    payload,
  });
const review = (payload: object, headers = admin) =>
  service.app.inject({ method: 'POST', url: '/v1/reviews', headers, payload });

async function tell() {
  const message = (found: Parameters<typeof wireAnomaly>[0], driverNames: boolean) =>
    wireAnomaly(found, null, { driverNames });
  while (await fanOut(service.store, message, service.nowMs()));
  const allowed = allowedAddresses(['127.0.0.0/8']);
  await deliverDue(service.store, { allowed, nowMs: () => service.nowMs(), chance: () => 0 });
}

describe('readings', () => {
  const row = (speed: string) => `time,vehicleId,speedKph\n2026-03-02T10:00:00Z,X-1,${speed}\nsoon,X-1,5\n`;

  it('are taken row by row, and answered the same under the same key', async () => {
    const headers = { 'idempotency-key': 'a-batch' };
    const first = await send(row('12'), headers);
    expect(first.json()).toMatchObject({ rowsRead: 2, rowsNew: 1, rejected: { time: 1 }, repeated: false });
    expect(first.json().rejectedRows).toEqual([{ row: 3, reason: 'time', text: 'soon,X-1,5' }]);
    const again = await send(row('12'), headers);
    expect(again.json()).toEqual({ ...first.json(), repeated: true });
    expect((await send(row('13'), headers)).json().type).toBe('/problems/idempotency-mismatch');
    const corrected = await send(row('13'));
    expect(corrected.json()).toMatchObject({ rowsNew: 0, rowsChanged: 1 });
  });

  it('are never refused for coming late', async () => {
    const late = 'time,vehicleId,speedKph\n2026-03-02T11:00:00Z,X-2,1\n2026-03-01T11:00:00Z,X-2,1\n';
    expect((await send(late)).json()).toMatchObject({ rowsAccepted: 2, rowsNew: 2, rejected: {} });
  });

  it("are read by a kept profile where they are somebody else's", async () => {
    const profile = {
      time: { column: 'Stamp' },
      vehicleId: { column: 'Unit' },
      signals: { speedKph: { from: 'V', unit: 'mph' } },
    };
    const text = 'Stamp,Unit,V\n2026-03-02T10:00:00Z,X-3,10\n';
    const under = (name: string) =>
      service.app.inject({
        method: 'POST',
        url: `/v1/readings?profile=${name}`,
        headers: { 'content-type': 'text/csv', ...admin },
        payload: text,
      });
    expect((await under('theirs')).json()).toMatchObject({
      status: 422,
      errors: [{ in: 'query', pointer: '/profile' }],
    });
    const kept = { method: 'PUT', url: '/v1/profiles/theirs', headers: admin, payload: profile } as const;
    expect((await service.app.inject(kept)).statusCode).toBe(200);
    // The same bytes sent without a profile first were rejected: that must not stand in the way.
    await send(text);
    const taken = (await under('theirs')).json();
    expect(taken).toMatchObject({ rowsNew: 1, rejected: {}, repeated: false });
    expect((await under('theirs')).json()).toMatchObject({ batchId: taken.batchId, repeated: true });
    const [row] = await service.store.query<{ speed: number }>(
      `select speed_kph as speed from reading where vehicle_id = 'X-3'`,
    );
    expect(row?.speed).toBeCloseTo(16.0934, 3);
  });

  it('that cannot be read are answered with what is wrong', async () => {
    const problem = async (payload: string | Buffer, headers: Record<string, string>) =>
      (await send(payload, headers)).json().type;
    expect(await problem('x', { 'content-type': 'text/plain' })).toBe('/problems/media-type-unknown');
    expect(await problem('x', { 'content-encoding': 'br' })).toBe('/problems/media-type-unknown');
    expect(await problem('x', { 'content-encoding': 'gzip' })).toBe('/problems/body-unreadable');
    expect(await problem('', {})).toBe('/problems/body-unreadable');
    const reader = await service.token(['read']);
    expect((await send(row('1'), reader)).statusCode).toBe(403);
  });
});

describe('episodes and anomalies', () => {
  it('are found, page by page as at once, and in every format', async () => {
    const whole = (await get('/v1/episodes?limit=1000')).json().items;
    expect(whole.length).toBeGreaterThan(20);
    const paged: unknown[] = [];
    let cursor: string | null = '';
    while (cursor !== null) {
      const page: { items: unknown[]; nextCursor: string | null } = (
        await get(`/v1/episodes?limit=7${cursor === '' ? '' : `&cursor=${cursor}`}`)
      ).json();
      paged.push(...page.items);
      cursor = page.nextCursor;
    }
    expect(paged).toEqual(whole);
    const lines = await get('/v1/episodes', { ...admin, accept: 'application/x-ndjson' });
    expect(
      lines.body
        .trimEnd()
        .split('\n')
        .map((line) => JSON.parse(line)),
    ).toEqual(whole);
    const csv = await get('/v1/episodes', { ...admin, accept: 'text/csv' });
    expect(csv.headers['content-type']).toContain('text/csv');
    expect(csv.body.trimEnd().split('\r\n')).toHaveLength(whole.length + 1);
  });

  it('carry their evidence, which reading is noted', async () => {
    const [{ episode }] = (await get('/v1/episodes?limit=1')).json().items;
    const evidence = (await get(`/v1/episodes/${episode.episodeId}/evidence`)).json();
    expect(evidence.times.length).toBeGreaterThan(30);
    for (const column of evidence.columns) expect(column.values).toHaveLength(evidence.times.length);
    const log = (await get(`/v1/audit?subject=episode%2F${episode.episodeId}`)).json().items;
    expect(log[0].action).toBe('read-evidence');
    expect((await get(`/v1/episodes/${episode.episodeId}/history`)).json()).toEqual({ items: [] });
    expect((await get('/v1/episodes/nothing')).statusCode).toBe(404);
  });

  it('are sorted by how much they matter', async () => {
    const items = (await get('/v1/anomalies?sort=gravity&state=unsettled')).json().items;
    expect(items.length).toBeGreaterThanOrEqual(3);
    const ranks = items.map(({ urgency }: { urgency: string }) => ['urgent', 'today', 'routine'].indexOf(urgency));
    expect(ranks).toEqual([...ranks].sort());
    const paged: unknown[] = [];
    let cursor: string | null = '';
    while (cursor !== null) {
      const page: { items: unknown[]; nextCursor: string | null } = (
        await get(`/v1/anomalies?sort=gravity&state=unsettled&limit=1${cursor === '' ? '' : `&cursor=${cursor}`}`)
      ).json();
      paged.push(...page.items);
      cursor = page.nextCursor;
    }
    expect(paged).toEqual(items);
  });

  it('are decided on, taken back, and decided on several at once or not at all', async () => {
    const items = (await get('/v1/anomalies?sort=gravity')).json().items;
    const [first, second] = items.map(({ anomalyId }: { anomalyId: string }) => anomalyId);
    expect((await review({ anomalyIds: [first], action: 'dismiss' })).statusCode).toBe(400);
    const dismissed = await review({ anomalyIds: [first], action: 'dismiss', reason: 'a test of the brake' });
    expect(dismissed.json().items[0].anomaly).toMatchObject({ state: 'dismissed', changedSinceReview: false });
    const unsettled = (await get('/v1/anomalies?state=unsettled')).json().items;
    expect(unsettled.map(({ anomalyId }: { anomalyId: string }) => anomalyId)).not.toContain(first);
    expect((await review({ anomalyIds: [first], action: 'undo' })).json().items[0].anomaly.state).toBe('open');
    expect((await review({ anomalyIds: [first], action: 'undo' })).statusCode).toBe(409);
    expect((await review({ anomalyIds: [first, 'no/such'], action: 'confirm' })).statusCode).toBe(404);
    const handed = await review({ anomalyIds: [first, second], action: 'hand-to-shop' });
    expect(handed.json().items.map(({ anomaly }: { anomaly: { state: string } }) => anomaly.state)).toEqual([
      'with-shop',
      'with-shop',
    ]);
    const reviews = (await get(`/v1/anomalies/${first}/reviews`)).json().items;
    expect(reviews.map(({ action, undone }: { action: string; undone: boolean }) => [action, undone])).toEqual([
      ['dismiss', true],
      ['undo', false],
      ['hand-to-shop', false],
    ]);
    const reader = await service.token(['read']);
    expect((await review({ anomalyIds: [first], action: 'confirm' }, reader)).statusCode).toBe(403);
  });

  it('are behind walls: a terminal sees its own and nothing of others, in every list and form', async () => {
    const terminals: string[] = [
      ...new Set<string>(demoFile('vehicles.json').map((v: { terminal?: string }) => v.terminal)),
    ];
    const nobody = await service.token(['read'], { terminals: ['nowhere'] });
    for (const url of ['/v1/episodes', '/v1/anomalies', '/v1/checks', '/v1/vehicles', '/v1/sites', '/v1/drivers']) {
      expect((await get(url, nobody)).json().items, url).toEqual([]);
      const lines = await get(url, { ...nobody, accept: 'application/x-ndjson, application/json;q=0.1' });
      expect(lines.body.replace('{"items":[],"nextCursor":null}', ''), url).toBe('');
    }
    expect((await get('/v1/changes', nobody)).json().items).toEqual([]);
    const [{ episode }] = (await get('/v1/episodes?limit=1')).json().items;
    expect((await get(`/v1/episodes/${episode.episodeId}`, nobody)).statusCode).toBe(404);
    expect((await get(`/v1/episodes/${episode.episodeId}/evidence`, nobody)).statusCode).toBe(404);
    expect((await get(`/v1/vehicles/${episode.vehicleId}`, nobody)).statusCode).toBe(404);
    const all = (await get('/v1/episodes?limit=1000')).json().items;
    for (const terminal of terminals.filter(Boolean)) {
      const own = await service.token(['read'], { terminals: [terminal] });
      const seen = (await get('/v1/episodes?limit=1000', own)).json().items;
      const expected = all.filter(({ terminals: t }: { terminals: Record<string, string | null> }) =>
        Object.values(t).includes(terminal),
      );
      expect(seen).toEqual(expected);
    }
  });

  it('name no driver to whom they are withheld from', async () => {
    const blind = await service.token(['read'], { driverNames: false });
    for (const url of ['/v1/episodes?limit=1000', '/v1/anomalies', '/v1/checks?limit=1000']) {
      const body = (await get(url, blind)).body;
      expect(body.includes('"driverId":"'), url).toBe(false);
    }
    expect((await get('/v1/episodes?driver=D-31', blind)).json().items).toEqual([]);
    expect((await get('/v1/drivers', blind)).json().items).toEqual([]);
  });

  it('come as a feed that goes on where it was left', async () => {
    const first = (await get('/v1/changes?limit=5')).json();
    expect(first.items).toHaveLength(5);
    const rest = (await get(`/v1/changes?after=${first.nextAfter}&limit=1000`)).json();
    const whole = (await get('/v1/changes?limit=1000')).json();
    expect([...first.items, ...rest.items]).toEqual(whole.items);
    const end = (await get(`/v1/changes?after=${whole.nextAfter}`)).json();
    expect(end).toEqual({ items: [], nextAfter: whole.nextAfter });
  });
});

describe('a webhook', () => {
  it('was told of every anomaly, signed, without drivers', async () => {
    const anomalies = (await get('/v1/anomalies')).json().items;
    const told = hooked.map(({ body }) => JSON.parse(body)).filter(({ type }) => type === 'anomaly.new');
    const ids = (list: { anomalyId: string }[]) => list.map(({ anomalyId }) => anomalyId).sort();
    expect(ids(told.map(({ anomaly }) => anomaly))).toEqual(ids(anomalies));
    for (const { anomaly } of told) expect(anomaly.driverId).toBeNull();
    for (const { headers } of hooked) expect(headers['webhook-signature']).toMatch(/^v1,/);
  });

  it('gets a test event, and a second secret before the first goes', async () => {
    const [{ webhookId, secrets }] = (await get('/v1/webhooks')).json().items;
    const post = (path: string) =>
      service.app.inject({ method: 'POST', url: `/v1/webhooks/${webhookId}${path}`, headers: admin });
    const remove = (secretId: string) =>
      service.app.inject({ method: 'DELETE', url: `/v1/webhooks/${webhookId}/secrets/${secretId}`, headers: admin });
    expect((await remove(secrets[0].secretId)).statusCode).toBe(409);
    expect((await post('/secrets')).statusCode).toBe(201);
    expect((await post('/secrets')).statusCode).toBe(409);
    expect((await post('/test')).statusCode).toBe(202);
    await tell();
    const tests = hooked.filter(({ body }) => JSON.parse(body).type === 'test');
    expect(tests).toHaveLength(1);
    expect(String(tests[0]!.headers['webhook-signature']).split(' ')).toHaveLength(2);
    expect((await remove(secrets[0].secretId)).json().secrets).toHaveLength(1);
    const deliveries = (await get(`/v1/webhooks/${webhookId}/deliveries`)).json().items;
    expect(deliveries).toContainEqual(expect.objectContaining({ type: 'test', state: 'delivered', lastStatus: 204 }));
  });

  it('is not made for a private address that is not allowed', async () => {
    const payload = { name: 'inside', url: 'http://10.0.0.7/hook' };
    const answer = await service.app.inject({ method: 'POST', url: '/v1/webhooks', headers: admin, payload });
    expect(answer.json().detail).toMatch(/private or reserved/);
  });
});

describe('the fleet', () => {
  it('has trucks with what was learned of them', async () => {
    const [{ vehicleId }] = (await get('/v1/vehicles?limit=1')).json().items;
    const truck = (await get(`/v1/vehicles/${vehicleId}`)).json();
    expect(truck.learned.signals.length).toBeGreaterThan(3);
    expect(truck.learned.checks.length).toBeGreaterThan(10);
  });

  it('is read and changed on condition of what the caller has seen', async () => {
    const [{ site }] = (await get('/v1/sites')).json().items;
    const url = `/v1/sites/${site.siteId}`;
    const first = await get(url);
    const etag = String(first.headers.etag);
    const again = await get(url, { ...admin, 'if-none-match': `"other", W/${etag}` });
    expect([again.statusCode, again.body, again.headers.etag]).toEqual([304, '', etag]);
    const put = (to: object, ifMatch: string) =>
      service.app.inject({ method: 'PUT', url, headers: { ...admin, 'if-match': ifMatch }, payload: to });
    expect((await put({ ...site, name: 'another name' }, etag)).statusCode).toBe(200);
    const late = await put(site, etag);
    expect([late.statusCode, late.json().type]).toEqual([412, '/problems/precondition-failed']);
    expect((await get(url, { ...admin, 'if-none-match': etag })).json().site.name).toBe('another name');
    expect((await put(site, '*')).statusCode).toBe(200);
    expect((await get(url)).headers.etag).toBe(etag);
    const unknown = { ...site, siteId: 'no-such-site' };
    const made = { method: 'PUT', url: '/v1/sites/no-such-site', headers: { ...admin, 'if-match': '*' } } as const;
    expect((await service.app.inject({ ...made, payload: unknown })).statusCode).toBe(412);
  });

  it('has drivers with names and terminals by day, which only who may know them is told', async () => {
    const put = (payload: object) =>
      service.app.inject({ method: 'PUT', url: '/v1/drivers/D-900', headers: admin, payload });
    const start = (await get('/v1/changes?limit=1000')).json().nextAfter;
    const until = { terminal: 'cairn', until: '2026-03-02' };
    const from = { terminal: 'larch', from: '2026-03-02' };
    const stated = await put({ name: 'A driver', assignments: [from, until] });
    expect(stated.json()).toEqual({
      driverId: 'D-900',
      name: 'A driver',
      assignments: [
        { ...until, from: null },
        { ...from, until: null },
      ],
    });
    expect((await get('/v1/drivers/D-900')).json()).toEqual(stated.json());
    expect((await put({ name: 'A driver', assignments: [until, from] })).statusCode).toBe(200);
    const changes = (await get(`/v1/changes?after=${start}`)).json().items;
    expect(changes).toEqual([expect.objectContaining({ subject: 'driver', id: 'D-900', change: 'corrected' })]);
    const blind = await service.token(['read'], { driverNames: false });
    expect((await get(`/v1/changes?after=${start}`, blind)).json().items).toEqual([]);
    const overlapping = await put({ assignments: [{ ...until, until: '2026-03-03' }, from] });
    expect(overlapping.json().errors).toEqual([expect.objectContaining({ pointer: '/assignments/1/from' })]);
    expect((await put({ assignments: [{ ...from, until: '2026-03-01' }] })).statusCode).toBe(400);
    expect((await put({ assignments: [] })).statusCode).toBe(400);
  });

  it('has policies: drafted, compared, put in force, and then never edited', async () => {
    const post = (url: string, payload: object) => service.app.inject({ method: 'POST', url, headers: admin, payload });
    const document = { version: 1, checks: { 'gear-hold-pause': { minSeconds: 45 } } };
    const bad = await post('/v1/policies', {
      name: 'crossed',
      document: { version: 1, checks: { 'gear-hold-pause': { underMetres: 9 } } },
    });
    expect(bad.statusCode).toBe(422);
    const draft = (await post('/v1/policies', { name: 'longer pause', document })).json();
    expect(draft.state).toBe('draft');
    const difference = (await get(`/v1/policies/${draft.policyId}/difference`)).json();
    expect(difference.items).toContainEqual({ check: 'gear-hold-pause', what: 'minSeconds', inForce: 30, draft: 45 });
    const past = await post(`/v1/policies/${draft.policyId}/enforcement`, { validFrom: '2020-01-01T00:00:00Z' });
    expect(past.statusCode).toBe(422);
    const validFrom = new Date(service.nowMs() + 86_400_000).toISOString();
    expect((await post(`/v1/policies/${draft.policyId}/enforcement`, { validFrom })).json().state).toBe('scheduled');
    const dropped = await service.app.inject({
      method: 'DELETE',
      url: `/v1/policies/${draft.policyId}`,
      headers: admin,
    });
    expect(dropped.json().type).toBe('/problems/policy-in-force');
    const states = (await get('/v1/policies')).json().items.map(({ state }: { state: string }) => state);
    expect(states).toEqual(['in-force', 'scheduled']);
  });

  it('tries a source profile on the first rows', async () => {
    const profile = {
      delimiter: ';',
      decimal: ',',
      time: { column: 'Stamp', format: 'yyyy-MM-dd HH:mm:ss', zone: 'Europe/Berlin' },
      vehicleId: { column: 'Unit' },
      signals: { suspensionKpa: { from: 'Air', unit: 'bar' } },
    };
    const text = 'Stamp;Unit;Air;Other\n2026-03-02 07:00:00;A;1,5;x\nbad;A;2;x\n';
    const payload = { profile, text };
    const tried = await service.app.inject({ method: 'POST', url: '/v1/profiles/preview', headers: admin, payload });
    expect(tried.json()).toMatchObject({
      columns: ['Stamp', 'Unit', 'Air', 'Other'],
      unknownColumns: ['Other'],
      readings: [{ time: '2026-03-02T06:00:00.000Z', vehicleId: 'A', suspensionKpa: 150 }],
      rejected: { time: 1 },
      faults: [],
    });
    const wrong = { profile: { ...profile, time: { column: 'Stamp', format: 'yyyy' } }, text };
    const told = await service.app.inject({
      method: 'POST',
      url: '/v1/profiles/preview',
      headers: admin,
      payload: wrong,
    });
    expect(told.json().faults.length).toBeGreaterThan(0);
  });

  it('shows files with their rejects', async () => {
    const files = (await get('/v1/files')).json().items;
    const withRejects = files.find(({ rejected }: { rejected: object }) => Object.keys(rejected).length > 0);
    expect((await get(`/v1/files/${withRejects.fileId}/rejects`)).json().items[0].text).toBe('soon,X-1,5');
  });
});
