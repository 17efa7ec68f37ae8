/** Runs the program as a person would, in a process of its own, and gives what came of it. Bounded in time. */
import { type ChildProcess, spawn } from 'node:child_process';
import { fileURLToPath } from 'node:url';

const program = fileURLToPath(new URL('../../services/cli/src/gearhold.ts', import.meta.url));
const peakMemory = fileURLToPath(new URL('../bench/peak-memory.ts', import.meta.url));

export interface Ran {
  readonly status: number | null;
  readonly signal: NodeJS.Signals | null;
  readonly stdout: string;
  readonly stderr: string;
}

export interface RunOptions {
  readonly stdin?: Uint8Array | string;
  readonly env?: Readonly<Record<string, string>>;
  /** Leaves standard input open: the program waits for more. */
  readonly holdStdin?: boolean;
  /** Called once with the process, to close its streams or end it. */
  readonly watch?: (child: ChildProcess) => void;
  /** A file that gets the peak of its resident memory, kB. */
  readonly peakFile?: string;
}

export async function gearhold(args: readonly string[], options: RunOptions = {}): Promise<Ran> {
  const preload = options.peakFile === undefined ? [] : ['--import', peakMemory];
  const child = spawn(process.execPath, [...preload, program, ...args], {
    env: { ...process.env, BENCH_PEAK_FILE: options.peakFile, ...options.env },
    timeout: 120_000,
    killSignal: 'SIGKILL',
  });
  const chunks = { stdout: [] as Buffer[], stderr: [] as Buffer[] };
  child.stdout.on('data', (chunk: Buffer) => chunks.stdout.push(chunk));
  child.stderr.on('data', (chunk: Buffer) => chunks.stderr.push(chunk));
  // A program that ends before it has read its input is no fault of the test.
  child.stdin.on('error', () => {});
  options.watch?.(child);
  if (options.holdStdin !== true) child.stdin.end(options.stdin);
  else if (options.stdin !== undefined) child.stdin.write(options.stdin);
  const [status, signal] = await new Promise<[number | null, NodeJS.Signals | null]>((resolve, reject) => {
    child.on('error', reject);
    child.on('close', (code, ended) => resolve([code, ended]));
  });
  const text = (name: 'stdout' | 'stderr') => Buffer.concat(chunks[name]).toString('utf8');
  return { status, signal, stdout: text('stdout'), stderr: text('stderr') };
}

/** Lines of NDJSON as objects. */
export function objects(ndjson: string): Record<string, unknown>[] {
  return ndjson
    .split('\n')
    .filter((line) => line !== '')
    .map((line) => JSON.parse(line) as Record<string, unknown>);
}
