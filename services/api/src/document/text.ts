/** The OpenAPI document as it is served and as it stands in `schemas/openapi.json`: two spaces, a line break at the end. */
import { newRegistry } from '@gearhold/http';
import { allowedAddresses } from '@gearhold/operations/notify';
import { createLogger, systemClock } from '@gearhold/shared/service';
import type { Engine } from '@gearhold/store';
import type { FastifyInstance } from 'fastify';
import { apiApp } from '../app.ts';

export function documentText(app: FastifyInstance): string {
  return `${JSON.stringify(app.swagger(), null, 2)}\n`;
}

/** The document of an application that is never asked anything, so that it needs no store. */
export async function describedText(): Promise<string> {
  const context = {
    store: {} as Engine,
    clock: systemClock,
    log: createLogger('api', 'silent'),
    https: true,
    webhookAddresses: allowedAddresses([]),
  };
  const app = await apiApp(context, { registry: newRegistry() });
  await app.ready();
  const text = documentText(app);
  await app.close();
  return text;
}
