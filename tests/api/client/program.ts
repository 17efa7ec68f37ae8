/**
 * A program of a consumer: typed by what openapi-typescript makes of the document, speaking through openapi-fetch, knowing nothing
 * else of us. It keeps a copy of the episodes, decides on an anomaly, and sends readings.
 */
import createClient from 'openapi-fetch';
// Made in memory by client.test.ts, which compiles this program with it in strict mode.
import type { components, paths } from './generated.d.ts';

type Episode = components['schemas']['StoredEpisode'];
type Anomaly = components['schemas']['Anomaly'];

/** Lists come in other formats too, which this program never asks for. */
type Json = 'application/json' | 'application/problem+json';

export function connect(baseUrl: string, token: string) {
  return createClient<paths, Json>({ baseUrl, headers: { authorization: `Bearer ${token}` } });
}

type Client = ReturnType<typeof connect>;

/** Every episode of a kind, page by page. */
export async function allEpisodes(client: Client, kind: string): Promise<Episode[]> {
  const found: Episode[] = [];
  let cursor: string | undefined;
  do {
    const query = { kind, limit: 7, ...(cursor !== undefined && { cursor }) };
    const { data, error } = await client.GET('/v1/episodes', { params: { query } });
    if (error !== undefined) throw new Error(error.detail);
    found.push(...data.items);
    cursor = data.nextCursor ?? undefined;
  } while (cursor !== undefined);
  return found;
}

/** How many samples of a signal an episode rests on. */
export async function samplesOf(client: Client, episodeId: string, signal: string): Promise<number> {
  const { data, error } = await client.GET('/v1/episodes/{episodeId}/evidence', { params: { path: { episodeId } } });
  if (error !== undefined) throw new Error(error.detail);
  const column = data.columns.find((one) => one.signal === signal);
  return column === undefined ? 0 : column.values.filter((value) => value !== null).length;
}

export async function gravest(client: Client): Promise<Anomaly | undefined> {
  const query = { state: 'unsettled', sort: 'gravity', limit: 1 } as const;
  const { data, error } = await client.GET('/v1/anomalies', { params: { query } });
  if (error !== undefined) throw new Error(error.detail);
  return data.items[0];
}

export async function dismiss(client: Client, anomalyId: string, reason: string): Promise<string> {
  const { data, error } = await client.POST('/v1/reviews', {
    body: { anomalyIds: [anomalyId], action: 'dismiss', reason },
  });
  if (error !== undefined) throw new Error(error.detail);
  return data.items[0]!.anomaly.state;
}

/** What changed since a position: what of it, and where to go on. */
export async function changesSince(client: Client, after: string | undefined) {
  const query = after === undefined ? {} : { after };
  const { data, error } = await client.GET('/v1/changes', { params: { query } });
  if (error !== undefined) throw new Error(error.detail);
  return { changes: data.items.map(({ subject, id, change }) => `${change} ${subject} ${id}`), next: data.nextAfter };
}

export async function sendRows(client: Client, csv: string, key: string) {
  const { data, error } = await client.POST('/v1/readings', {
    params: { header: { 'idempotency-key': key } },
    headers: { 'content-type': 'text/csv' },
    body: csv,
    bodySerializer: (text: unknown) => text as string,
  });
  if (error !== undefined) throw new Error(error.detail);
  return data;
}

/** The stable type of the problem that an unknown truck is answered with. */
export async function problemOfUnknown(client: Client, vehicleId: string): Promise<string | undefined> {
  const { error } = await client.GET('/v1/vehicles/{vehicleId}', { params: { path: { vehicleId } } });
  return error?.type;
}
