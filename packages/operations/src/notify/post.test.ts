import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { afterEach, expect, it } from 'vitest';
import { allowedAddresses } from './addresses.ts';
import { post } from './post.ts';

let server: Server | null = null;
afterEach(() => {
  server?.closeAllConnections();
  server?.close();
});

async function receiver(status: number, headers: Record<string, string> = {}) {
  const bodies: string[] = [];
  server = createServer((request, response) => {
    let body = '';
    request.on('data', (part) => {
      body += part;
    });
    request.on('end', () => {
      bodies.push(body);
      response.writeHead(status, headers).end('x'.repeat(100_000));
    });
  });
  await new Promise<void>((resolve) => server!.listen(0, '127.0.0.1', resolve));
  return { url: `http://localhost:${(server.address() as AddressInfo).port}/hook`, bodies };
}

const local = allowedAddresses(['127.0.0.0/8', '::1']);

it('delivers to an address that is allowed', async () => {
  const { url, bodies } = await receiver(204);
  expect(await post(url, {}, '{"a":"ä"}', local)).toEqual({ status: 204, failure: null });
  expect(bodies).toEqual(['{"a":"ä"}']);
});

it('sends nothing to one that is not', async () => {
  const { url, bodies } = await receiver(204);
  const { status, failure } = await post(url, {}, '{}', allowedAddresses([]));
  expect([status, failure]).toEqual([null, expect.stringMatching(/private or reserved/)]);
  expect(bodies).toEqual([]);
});

it('follows no redirect and counts every other status as not delivered', async () => {
  const { url } = await receiver(302, { location: 'http://127.0.0.1:1/' });
  expect(await post(url, {}, '{}', local)).toEqual({ status: 302, failure: 'answered with status 302' });
});

it('tells why no answer came', async () => {
  const { url } = await receiver(204);
  server!.close();
  const { failure } = await post(url.replace(/:\d+/, ':1'), {}, '{}', local);
  expect(failure).toMatch(/ECONNREFUSED/);
});
