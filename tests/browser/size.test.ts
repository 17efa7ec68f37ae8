/** What the console's page weighs: at most 200 kB of script, compressed as it is sent. */
import { mkdtemp, readdir, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { build } from 'vite';
import { expect, it } from 'vitest';

const mostBytes = 200_000;

it('ships at most 200 kB of script, none of it within the page', async () => {
  const folder = await mkdtemp(join(tmpdir(), 'gearhold-build-'));
  try {
    const root = join(import.meta.dirname, '../../services/console');
    await build({ root, configFile: join(root, 'vite.config.ts'), logLevel: 'error', build: { outDir: folder } });
    const names = await readdir(join(folder, 'assets'));
    const scripts = await Promise.all(
      names.filter((name) => name.endsWith('.js')).map((name) => readFile(join(folder, 'assets', name))),
    );
    expect(scripts.length).toBeGreaterThan(0);
    const bytes = scripts.reduce((sum, script) => sum + gzipSync(script).length, 0);
    expect(bytes).toBeLessThanOrEqual(mostBytes);
    const page = await readFile(join(folder, 'index.html'), 'utf8');
    expect(page).not.toMatch(/<script(?![^>]*\bsrc=)|<style|\sstyle=/);
  } finally {
    await rm(folder, { recursive: true });
  }
});
