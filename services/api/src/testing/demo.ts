/** A service that holds the demo fleet's day: stated, sent in by the API and analysed as a night does it. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { analyseDirty } from '@gearhold/operations/analysis';
import { type Service, type ServiceOptions, startService } from './service.ts';

const demo = join(import.meta.dirname, '../../../../fixtures/demo');

type Headers = { authorization: string };

export function demoFile(name: string) {
  return JSON.parse(readFileSync(join(demo, name), 'utf8'));
}

/** States the trucks and sites of the demo fleet. */
export async function stateDemo(service: Service, headers: Headers): Promise<void> {
  for (const site of demoFile('sites.json')) await put(service, headers, `/v1/sites/${site.siteId}`, site);
  for (const { vehicleId, ...entry } of demoFile('vehicles.json')) {
    await put(service, headers, `/v1/vehicles/${vehicleId}`, [entry]);
  }
}

/** Sends the readings of the demo fleet and has them analysed; gives how many were new. */
export async function sendDemo(service: Service, headers: Headers): Promise<number> {
  const answer = await service.app.inject({
    method: 'POST',
    url: '/v1/readings',
    headers: { 'content-type': 'text/csv', 'content-encoding': 'gzip', ...headers },
    payload: readFileSync(join(demo, 'readings.csv.gz')),
  });
  if (answer.statusCode !== 200) throw new Error(answer.body);
  await analyseDirty(service.store, { zone: 'America/Chicago', nowMs: service.nowMs() });
  return answer.json().rowsNew;
}

/** The whole of it. */
export async function startDemo(options?: ServiceOptions): Promise<Service & { readonly admin: Headers }> {
  const service = await startService(options);
  const admin = await service.token(['administer']);
  await stateDemo(service, admin);
  await sendDemo(service, admin);
  return { ...service, admin };
}

async function put(service: Service, headers: Headers, url: string, payload: object): Promise<void> {
  const answer = await service.app.inject({ method: 'PUT', url, headers, payload });
  if (answer.statusCode !== 200) throw new Error(answer.body);
}
