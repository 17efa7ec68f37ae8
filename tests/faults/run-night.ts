/** A night in a process of its own, on a store of its own, that ends by itself or is killed. */
import { type ChildProcess, spawn } from 'node:child_process';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { NightReport } from './night-process.ts';
import type { StorePlace } from './store-places.ts';

const program = fileURLToPath(new URL('./night-process.ts', import.meta.url));

/** The demo fleet's files. */
export const demo = fileURLToPath(new URL('../../fixtures/demo/', import.meta.url));

export interface NightRun {
  readonly inbox: string;
  /** Defaults to the demo fleet's. */
  readonly day?: string;
  readonly recipients?: string;
  readonly environment?: Readonly<Record<string, string>>;
  /** The moment at which the process kills itself, counted from 1. Defaults to never. */
  readonly dieAt?: number;
  /** Is given the process. */
  readonly watch?: (child: ChildProcess) => void;
}

/** Runs a night to its end; fails where it fails other than by being killed. */
export async function runNight(place: StorePlace, run: NightRun): Promise<NightReport | 'killed'> {
  const { inbox, day = '2026-03-02', recipients, dieAt = 0 } = run;
  const options = ['--inbox', inbox, '--day', day, '--zone', 'America/Chicago'];
  const companions = ['--vehicles', join(demo, 'vehicles.json'), '--sites', join(demo, 'sites.json')];
  const mail = recipients === undefined ? [] : ['--recipients', recipients];
  const child = spawn(process.execPath, [program, JSON.stringify({ dieAt }), ...options, ...companions, ...mail], {
    env: { ...process.env, ...place.environment, ...run.environment },
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  const said = { stdout: '', stderr: '' };
  child.stdout.on('data', (chunk) => (said.stdout += chunk));
  child.stderr.on('data', (chunk) => (said.stderr += chunk));
  run.watch?.(child);
  const [code, signal] = await new Promise<[number | null, NodeJS.Signals | null]>((resolve, reject) => {
    child.on('error', reject);
    child.on('close', (status, ended) => resolve([status, ended]));
  });
  if (signal === 'SIGKILL') return 'killed';
  if (code !== 0) throw new Error(`the night failed with ${code}: ${said.stderr}`);
  return JSON.parse(said.stdout.trim().split('\n').at(-1)!) as NightReport;
}
