/** The demo fleet's day in a store of its own, and the service over it, as people start both. */
import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const top = join(import.meta.dirname, '../..');
const demo = join(top, 'fixtures/demo');

export interface RunningFleet {
  readonly address: string;
  readonly oneTimePassword: string;
  stop(): Promise<void>;
}

/** Takes the demo's readings in, analyses them, and serves the result on a port of its own. */
export async function startFleet(): Promise<RunningFleet> {
  const folder = await mkdtemp(join(tmpdir(), 'gearhold-browser-'));
  const store = join(folder, 'store');
  const companions = ['vehicles', 'sites', 'recipients'].flatMap((name) => [`--${name}`, join(demo, `${name}.json`)]);
  const day = ['--day', '2026-03-02', '--zone', 'America/Chicago', '--log', 'warn', '--store', store];
  const night = start(
    ['services/nightly/src/nightly.ts', ...day, ...companions, join(demo, 'readings.csv.gz')],
    folder,
  );
  const [status] = await once(night, 'exit');
  if (status !== 0) throw new Error(`the night ended with status ${status}`);
  const service = start(['services/api/src/api.ts'], folder, {
    GEARHOLD_STORE: store,
    GEARHOLD_PORT: '0',
    GEARHOLD_LOG: 'warn',
  });
  const { address, oneTimePassword } = await firstWords(service);
  return {
    address,
    oneTimePassword,
    async stop() {
      service.kill('SIGTERM');
      await once(service, 'exit');
      await rm(folder, { recursive: true, force: true });
    },
  };
}

function start(
  args: readonly string[],
  folder: string,
  environment: Readonly<Record<string, string>> = {},
): ChildProcess {
  const { DATABASE_URL: _, ...others } = process.env;
  const [program, ...rest] = args;
  return spawn(process.execPath, [join(top, program!), ...rest], {
    cwd: folder,
    env: { ...others, ...environment },
    stdio: ['ignore', 'pipe', 'inherit'],
  });
}

async function firstWords(service: ChildProcess): Promise<{ address: string; oneTimePassword: string }> {
  let said = '';
  for await (const part of service.stdout!) {
    said += part;
    const address = /serves at (\S+)/.exec(said)?.[1];
    const oneTimePassword = /password (\S+);/.exec(said)?.[1];
    if (address !== undefined && oneTimePassword !== undefined) return { address, oneTimePassword };
  }
  throw new Error(`the service ended before it said where it is: ${said}`);
}
