/** The OpenAPI document, and the reference page made from it. */
import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { etagOf, noneMatch } from '@gearhold/http';
import type { FastifyInstance } from 'fastify';
import { examples } from '../document/examples.ts';
import { documentText } from '../document/text.ts';
import { type ReferenceDocument, referencePage } from '../pages/reference.ts';

export function addDocumentRoutes(app: FastifyInstance): void {
  const options = { config: { access: 'open' as const }, schema: { hide: true } };
  let json: string | null = null;
  let html: string | null = null;
  app.get('/v1/openapi.json', options, async (request, reply) => {
    json ??= documentText(app);
    const etag = etagOf(json);
    reply.header('etag', etag).header('cache-control', 'no-cache').type('application/json');
    if (noneMatch(request.headers['if-none-match'], etag)) return reply.code(304).send();
    return reply.send(json);
  });
  app.get('/reference', options, async (_, reply) => {
    html ??= referencePage(app.swagger() as ReferenceDocument, examples);
    return reply.type('text/html; charset=utf-8').send(html);
  });
  app.get('/reference.css', options, async (_, reply) => {
    const css = await readFile(join(import.meta.dirname, '../pages/reference.css'), 'utf8');
    return reply.type('text/css; charset=utf-8').send(css);
  });
}
