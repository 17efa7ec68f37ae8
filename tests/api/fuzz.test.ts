/**
 * Requests drawn from the document, right and wrong in every part of them: types, sizes, encodings, tokens. Nothing is answered with
 * a fault of ours or not at all, every error is a problem of the catalogue, and nobody is told of another terminal.
 * `API_EFFORT=20` draws twenty times as many.
 */
import { gunzipSync, gzipSync } from 'node:zlib';
import { problemKinds } from '@gearhold/http';
import { allowedAddresses } from '@gearhold/operations/notify';
import fc from 'fast-check';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { startDemo } from '../../services/api/src/testing/demo.ts';
import {
  type ApiDocument,
  committedDocument,
  operationsOf,
  type Parameter,
  resolved,
  type Schema,
} from './committed.ts';

const effort = Number(process.env.API_EFFORT ?? 1);
const patienceMs = 20_000;
const document: ApiDocument = committedDocument();
const operations = operationsOf(document).map(({ path, method, operation }) => ({
  name: operation.operationId,
  path,
  method: method as 'GET',
  operation,
}));

interface Found {
  readonly vehicleId: string;
  readonly episode: { readonly episodeId: string; readonly driverId: string | null };
}

let service: Awaited<ReturnType<typeof startDemo>>;
/** Ids of the fleet that nobody of terminal `nowhere` may learn. */
let secrets: string[];
let who: Record<string, Record<string, string>>;

beforeAll(async () => {
  service = await startDemo({ webhookAddresses: allowedAddresses([]) });
  const list = async (url: string) =>
    (await service.app.inject({ url, headers: service.admin })).json().items as Found[];
  const episodes = await list('/v1/episodes?limit=1000');
  const vehicles = await list('/v1/vehicles?limit=1000');
  const drivers = episodes.map(({ episode }) => episode.driverId).filter((id): id is string => id !== null);
  secrets = [
    ...new Set([
      ...episodes.map(({ episode }) => episode.episodeId),
      ...vehicles.map(({ vehicleId }) => vehicleId),
      ...drivers,
    ]),
  ];
  const elsewhere = { terminals: ['nowhere'] };
  who = {
    nobody: {},
    unknown: { authorization: 'Bearer ghk_nobody' },
    malformed: { authorization: 'Basic \u00ff\u00fe' },
    foreign: await service.token(['read', 'ingest', 'review'], elsewhere),
    foreignAdministrator: await service.token(['administer'], elsewhere),
    administrator: service.admin,
  };
}, 300_000);

afterAll(() => service.close());

const oddTexts = fc.constantFrom(
  '',
  ' ',
  '0',
  '-1',
  'null',
  '\u0000',
  '%00',
  '../..',
  "'; drop table episode; --",
  '\ud800',
  '\u202e\ufeff',
  '1e400',
  'NaN',
  '9007199254740993',
  '[]',
  '{}',
  'constructor',
  '__proto__',
  'x'.repeat(300),
  'x'.repeat(5000),
  '2026-02-30T25:61:00Z',
  '+275760-09-13T00:00:00.001Z',
  '0001-01-01T00:00:00+23:59',
);
const anyText = fc.oneof(oddTexts, fc.string({ unit: 'binary', maxLength: 40 }));
const anyValue = fc.oneof(
  anyText,
  fc.constantFrom(null, true, -0, 1e308, -1, 2 ** 53, [], {}, [[]], { __proto__: 1 }),
  fc.jsonValue({ maxDepth: 3 }),
);

/** A value of a schema; now and then one that is wrong within it. */
function drawn(given: Schema | undefined, depth = 0): fc.Arbitrary<unknown> {
  if (given === undefined || depth > 6) return anyValue;
  const schema = resolved(document, given);
  return fc.oneof({ weight: 12, arbitrary: rightlyDrawn(schema, depth) }, { weight: 1, arbitrary: anyValue });
}

function rightlyDrawn(schema: Schema, depth: number): fc.Arbitrary<unknown> {
  const choices = schema.anyOf ?? schema.oneOf;
  if (choices !== undefined) return fc.oneof(...choices.map((choice) => drawn(choice, depth + 1)));
  if (schema.const !== undefined) return fc.constant(schema.const);
  if (schema.enum !== undefined) return fc.constantFrom(...schema.enum);
  const types = typeof schema.type === 'string' ? [schema.type] : (schema.type ?? ['object']);
  return fc.oneof(...types.map((type) => drawnOf(type, schema, depth)));
}

function drawnOf(type: string, schema: Schema, depth: number): fc.Arbitrary<unknown> {
  if (type === 'null') return fc.constant(null);
  if (type === 'boolean') return fc.boolean();
  if (type === 'integer') return fc.maxSafeInteger().map((value) => clamped(value, schema));
  if (type === 'number')
    return fc.double({ noNaN: true, noDefaultInfinity: true }).map((value) => clamped(value, schema));
  if (type === 'string') return textOf(schema);
  if (type === 'array') return fc.array(drawn(schema.items, depth + 1), { maxLength: 4 });
  const fields = Object.entries(schema.properties ?? {});
  const required = fields.filter(([name]) => schema.required?.includes(name)).map(([name]) => name);
  const named = fc.record(Object.fromEntries(fields.map(([name, field]) => [name, drawn(field, depth + 1)])), {
    requiredKeys: required,
  });
  if (schema.additionalProperties === false) return named;
  return fc.tuple(named, fc.dictionary(anyText, anyValue, { maxKeys: 2 })).map(([own, more]) => ({ ...more, ...own }));
}

const clamped = (value: number, { minimum = -Infinity, maximum = Infinity }: Schema) =>
  Math.min(maximum, Math.max(minimum, value));

function textOf({ pattern, format, maxLength = 100, minLength = 0 }: Schema): fc.Arbitrary<string> {
  if (format === 'date-time') return fc.date({ noInvalidDate: true }).map((date) => date.toISOString());
  if (format === 'uuid') return fc.uuid();
  if (format === 'uri') return fc.webUrl({ withQueryParameters: true });
  if (pattern !== undefined && pattern.length < 100) return fc.stringMatching(new RegExp(pattern));
  return fc.oneof(
    fc.constantFrom(...(secrets ?? ['x'])),
    fc.string({ minLength: Math.min(minLength, 20), maxLength: Math.min(maxLength, 60) }),
  );
}

interface Draw {
  readonly caller: string;
  readonly path: string;
  readonly query: string;
  readonly headers: Record<string, string>;
  readonly payload: string | Buffer | undefined;
}

const headerSafe = (text: string) => text.replaceAll(/[^\x20-\x7e]/g, '').slice(0, 2000);
const encoded = (value: unknown) => {
  const text = typeof value === 'string' ? value : (JSON.stringify(value) ?? '');
  return encodeURIComponent(text.toWellFormed());
};

function draws({ path, operation }: (typeof operations)[number]): fc.Arbitrary<Draw> {
  const parameters = (place: string) =>
    (operation.parameters ?? []).filter((parameter: Parameter) => parameter.in === place);
  const valued = (place: string) =>
    fc.record(Object.fromEntries(parameters(place).map(({ name, schema }) => [name, drawn(schema)])), {
      requiredKeys: [],
    });
  const bodies = Object.entries(operation.requestBody?.content ?? {});
  const body =
    bodies.length === 0 ? fc.constant(undefined) : fc.oneof(...bodies.map(([, { schema }]) => drawn(schema)));
  const types = [
    ...bodies.map(([type]) => type),
    'application/json',
    'text/plain',
    'application/json; charset=utf-16',
    '',
  ];
  return fc
    .record({
      caller: fc.constantFrom(
        'nobody',
        'unknown',
        'malformed',
        'foreign',
        'foreign',
        'foreignAdministrator',
        'administrator',
      ),
      path: fc.record(Object.fromEntries(parameters('path').map(({ name, schema }) => [name, drawn(schema)]))),
      query: valued('query'),
      header: valued('header'),
      stray: fc.option(fc.tuple(anyText, anyText), { freq: 8 }),
      accept: fc.option(fc.constantFrom('application/json', 'text/csv', 'application/x-ndjson', 'image/png', ';;q=,'), {
        freq: 2,
      }),
      type: fc.oneof(
        { weight: 8, arbitrary: fc.constant(types[0]!) },
        { weight: 1, arbitrary: fc.constantFrom(...types) },
      ),
      packing: fc.oneof(
        { weight: 10, arbitrary: fc.constant('none') },
        { weight: 1, arbitrary: fc.constantFrom('gzip', 'false gzip', 'br', 'cut') },
      ),
      body,
    })
    .map(({ caller, path: inPath, query, header, stray, accept, type, packing, body: value }) => {
      const pairs = Object.entries(query).map(([name, one]) => `${name}=${encoded(one)}`);
      if (stray !== null) pairs.push(`${encoded(stray[0])}=${encoded(stray[1])}`);
      const headers: Record<string, string> = {};
      for (const [name, one] of Object.entries(header)) headers[name] = headerSafe(String(one));
      if (accept !== null) headers.accept = accept;
      let payload: string | Buffer | undefined;
      if (value !== undefined) {
        const text = typeof value === 'string' ? value : (JSON.stringify(value) ?? '');
        if (type !== '') headers['content-type'] = type;
        if (packing === 'gzip' || packing === 'false gzip') headers['content-encoding'] = 'gzip';
        if (packing === 'br') headers['content-encoding'] = 'br';
        payload = packing === 'gzip' ? gzipSync(text) : packing === 'cut' ? text.slice(0, text.length / 2) : text;
      }
      const filled = path.replaceAll(/\{(\w+)\}/g, (_, name: string) => encoded(inPath[name]) || 'x');
      return { caller, path: filled, query: pairs.join('&'), headers, payload };
    });
}

const types = new Set(Object.keys(problemKinds).map((name) => `/problems/${name}`));

async function answers(method: 'GET', draw: Draw) {
  const url = draw.query === '' ? draw.path : `${draw.path}?${draw.query}`;
  const headers = { ...draw.headers, ...who[draw.caller] };
  const asked = service.app.inject({
    method,
    url,
    headers,
    ...(draw.payload !== undefined && { payload: draw.payload }),
  });
  let timer: NodeJS.Timeout | undefined;
  const late = new Promise<never>((_, reject) => {
    timer = setTimeout(() => reject(new Error('no answer')), patienceMs);
  });
  try {
    return await Promise.race([asked, late]);
  } finally {
    clearTimeout(timer);
  }
}

const wholeFleets = new Set(['listProfiles', 'getProfile', 'listPolicies', 'comparePolicy']);

/** What a caller wrote, as text, however it was packed. */
function written(payload: Draw['payload']): string {
  if (payload === undefined || typeof payload === 'string') return payload ?? '';
  const bytes = Buffer.from(payload as Uint8Array);
  try {
    return gunzipSync(bytes).toString();
  } catch {
    return bytes.toString();
  }
}

it.each(operations)('$name', { timeout: 300_000 }, async (operation) => {
  const property = fc.asyncProperty(draws(operation), async (draw) => {
    const answer = await answers(operation.method, draw);
    expect(answer.statusCode, answer.body).toBeLessThan(500);
    if (answer.statusCode >= 400) {
      expect(answer.headers['content-type']).toContain('application/problem+json');
      const problem = answer.json();
      expect(types).toContain(problem.type);
      expect(problem.status).toBe(answer.statusCode);
      expect(problem.detail.length).toBeGreaterThan(10);
    }
    if (draw.caller === 'administrator') return;
    if (['nobody', 'unknown', 'malformed'].includes(draw.caller)) expect(answer.statusCode).toBeGreaterThanOrEqual(400);
    // What the caller wrote may come back in the sentence of a problem; nothing else of the fleet may.
    const asked = `${decodeURIComponent(draw.path)} ${decodeURIComponent(draw.query)} ${written(draw.payload)}`;
    // Profiles and policies are the whole fleet's: a draw may have named one with such an id.
    if (wholeFleets.has(operation.name)) return;
    const told = secrets.filter((secret) => answer.body.includes(`"${secret}"`) && !asked.includes(secret));
    expect(told).toEqual([]);
  });
  // The usual run draws the same each time: a chance find belongs to whoever looks for one, with more effort.
  await fc.assert(property, { numRuns: 25 * effort, endOnFailure: true, ...(effort === 1 && { seed: 1 }) });
});
