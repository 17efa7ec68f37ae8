/** The console's files as the service gives them, built and unbuilt. */
import { mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { httpApp, newRegistry } from '@gearhold/http';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { addConsole } from './serve-console.ts';

let folder: string;

beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'gearhold-console-'));
});
afterEach(() => rm(folder, { recursive: true }));

async function appOf(built: boolean) {
  if (built) {
    await mkdir(join(folder, 'assets'));
    await writeFile(join(folder, 'index.html'), '<!doctype html><title>the page</title>');
    await writeFile(join(folder, 'assets', 'a-1.js'), 'export {};');
  }
  const app = await httpApp({ logger: false, registry: newRegistry(), requestsPerMinute: 0 });
  await addConsole(app, folder);
  return app;
}

it('gives the page at each of its addresses, never kept, and its script for ever', async () => {
  const app = await appOf(true);
  for (const url of ['/', '/episodes/abc', '/anomalies/abc/tug-test-count', '/trucks', '/trucks/T-1', '/words']) {
    const answer = await app.inject({ url });
    expect(answer.statusCode).toBe(200);
    expect(answer.body).toContain('the page');
    expect(answer.headers['cache-control']).toBe('no-cache');
    expect(answer.headers['content-security-policy']).not.toContain('unsafe-inline');
  }
  const script = await app.inject({ url: '/assets/a-1.js' });
  expect(script.headers['content-type']).toContain('javascript');
  expect(script.headers['cache-control']).toContain('immutable');
  await app.close();
});

it('gives nothing beside the built files', async () => {
  const app = await appOf(true);
  for (const url of [
    '/assets/b.js',
    '/assets/../index.html',
    '/assets/%2e%2e/%2e%2e/package.json',
    '/assets/..%2findex.html',
  ]) {
    expect((await app.inject({ url })).statusCode, url).toBeGreaterThanOrEqual(400);
  }
  await app.close();
});

it('says what to do where it was not built', async () => {
  const app = await appOf(false);
  const answer = await app.inject({ url: '/' });
  expect(answer.statusCode).toBe(503);
  expect(answer.body).toContain('npm run build');
  await app.close();
});
