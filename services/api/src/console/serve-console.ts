/**
 * The console's files: one page for each of its addresses, and the script and style that the build left in `services/console/dist`.
 * They hold no data, so they are open; what the page then asks for is not.
 */
import { access } from 'node:fs/promises';
import { join } from 'node:path';
import fastifyStatic from '@fastify/static';
import type { FastifyInstance } from 'fastify';
import { page } from '../pages/page.ts';

/** Where the build puts them. */
const consoleFolder = join(import.meta.dirname, '../../../console/dist');

/** Addresses that the page itself reads. */
const addresses = [
  '/',
  '/episodes/:id',
  '/anomalies/:id/:check',
  '/trucks',
  '/trucks/:id',
  '/yards',
  '/yards/:id',
  '/drivers',
  '/drivers/:id',
  '/policy',
  '/arrivals',
  '/people',
  '/words',
] as const;

/** Names of built files carry a hash of their content: they never change. */
const unchanging = { maxAge: '365d', immutable: true } as const;

export async function addConsole(app: FastifyInstance, folder = consoleFolder): Promise<void> {
  await app.register(fastifyStatic, { root: folder, serve: false, cacheControl: false });
  const options = { config: { access: 'open' as const }, schema: { hide: true } };
  for (const address of addresses) {
    app.get(address, options, async (_, reply) => {
      if (!(await isBuilt(folder))) return reply.code(503).type('text/html; charset=utf-8').send(unbuilt);
      return reply.header('cache-control', 'no-cache').sendFile('index.html');
    });
  }
  app.get('/assets/*', options, async (request, reply) => {
    const { '*': name } = request.params as { '*': string };
    return reply.sendFile(`assets/${name}`, { ...unchanging, cacheControl: true });
  });
}

const unbuilt = page(
  'The console is not built yet',
  '<p>The service runs, and its API answers. Run <code>npm run build</code>, then load this page again.</p>',
);

async function isBuilt(folder: string): Promise<boolean> {
  try {
    await access(join(folder, 'index.html'));
    return true;
  } catch {
    return false;
  }
}
