/**
 * The bench: the same file read by csv-parse alone, answered by DuckDB, and analysed by this program, each in a process of
 * its own. They take turns, so that what else the machine does meanwhile is shared. Prints rows/s, ratios and peaks of
 * resident memory.
 *
 *     npm run bench -- [--rows N] [--runs N] [--memory] [--json FILE]
 *
 * `--memory` adds 10 million rows of 500 vehicles, analysed as one file and as two, to hold the peak against its bound.
 */
import { spawn } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { cpus, tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { writeReadings } from './readings.ts';

/** Peak of resident memory that an analysis of any length must stay under, MB. */
const memoryBoundMb = 400;

const { values: options } = parseArgs({
  options: {
    rows: { type: 'string', default: '1000000' },
    runs: { type: 'string', default: '3' },
    memory: { type: 'boolean', default: false },
    json: { type: 'string' },
  },
});

/** A name, and the program with its arguments. */
type Contestant = readonly [name: string, args: readonly string[]];

interface Measurement {
  readonly name: string;
  readonly rows: number;
  /** The fastest run, wall time, s. */
  readonly seconds: number;
  readonly rowsPerSecond: number;
  /** The largest peak of resident memory, MB. */
  readonly peakMb: number;
}

const here = (name: string) => fileURLToPath(new URL(name, import.meta.url));
const program = here('../../services/cli/src/gearhold.ts');
const folder = mkdtempSync(join(tmpdir(), 'gearhold-bench-'));
const peakFile = join(folder, 'peak');

try {
  const rows = Number(options.rows);
  const file = join(folder, 'readings.csv');
  await writeReadings(file, rows);
  const out = join(folder, 'out');
  const contestants: readonly Contestant[] = [
    ['csv-parse alone', [here('csv-alone.ts'), file]],
    ['DuckDB, 2 threads', [here('sql-alone.ts'), file, out]],
    ['gearhold analyze', [program, 'analyze', '--out', out, file]],
  ];
  const results = await measure(contestants, rows, Number(options.runs));
  if (options.memory) {
    const many = 10_000_000;
    const large = join(folder, 'large.csv');
    await writeReadings(large, many);
    const once = ['gearhold, 10 million rows', [program, 'analyze', '--out', out, large]] as const;
    const twice = ['the same with a second file', [program, 'analyze', '--out', out, large, file]] as const;
    results.push(...(await measure([once], many, 1)), ...(await measure([twice], many + rows, 1)));
  }
  print(results);
  if (options.json !== undefined) writeFileSync(options.json, `${JSON.stringify(asJson(results), null, 2)}\n`);
} finally {
  rmSync(folder, { recursive: true, force: true });
}

async function measure(contestants: readonly Contestant[], rows: number, runs: number): Promise<Measurement[]> {
  const seconds = contestants.map(() => Number.POSITIVE_INFINITY);
  const peaksMb = contestants.map(() => 0);
  for (let run = 0; run < runs; run++) {
    for (const [i, [, args]] of contestants.entries()) {
      const began = performance.now();
      await runToEnd(args);
      seconds[i] = Math.min(seconds[i]!, (performance.now() - began) / 1000);
      peaksMb[i] = Math.max(peaksMb[i]!, Number(readFileSync(peakFile, 'utf8')) / 1024);
    }
  }
  return contestants.map(([name], i) => {
    return { name, rows, seconds: seconds[i]!, rowsPerSecond: rows / seconds[i]!, peakMb: peaksMb[i]! };
  });
}

async function runToEnd(args: readonly string[]): Promise<void> {
  const child = spawn(process.execPath, ['--import', here('peak-memory.ts'), ...args], {
    env: { ...process.env, BENCH_PEAK_FILE: peakFile },
    stdio: ['ignore', 'ignore', 'pipe'],
  });
  let complaints = '';
  child.stderr.on('data', (chunk: Buffer) => {
    complaints += chunk.toString();
  });
  const status = await new Promise((resolve, reject) => {
    child.on('error', reject);
    child.on('close', resolve);
  });
  if (status !== 0) throw new Error(`${args[0]} ended with ${status}: ${complaints}`);
}

/** How long the analysis takes, as a multiple of each other contestant's time. */
function ratios(results: readonly Measurement[]): { readonly name: string; readonly timesAsLong: number }[] {
  const own = results.find(({ name }) => name === 'gearhold analyze')!;
  return results
    .filter(({ name }) => !name.startsWith('gearhold') && !name.startsWith('the same'))
    .map(({ name, seconds }) => ({ name, timesAsLong: own.seconds / seconds }));
}

function asJson(results: readonly Measurement[]) {
  return { machine: machine(), node: process.version, memoryBoundMb, results, ratios: ratios(results) };
}

function machine(): string {
  return `${cpus().length} cores of ${cpus()[0]?.model ?? 'an unknown processor'}`;
}

function print(results: readonly Measurement[]): void {
  const lines = [`${machine()}, Node ${process.version}; fastest of ${options.runs}, wall time with start-up`, ''];
  lines.push(
    `${''.padEnd(30)}${'rows'.padStart(12)}${'s'.padStart(9)}${'rows/s'.padStart(12)}${'peak MB'.padStart(10)}`,
  );
  for (const { name, rows, seconds, rowsPerSecond, peakMb } of results) {
    const figures = [
      rows.toLocaleString('en-US').padStart(12),
      seconds.toFixed(2).padStart(9),
      Math.round(rowsPerSecond).toLocaleString('en-US').padStart(12),
      Math.round(peakMb).toLocaleString('en-US').padStart(10),
    ];
    lines.push(`${name.padEnd(30)}${figures.join('')}`);
  }
  lines.push('');
  for (const { name, timesAsLong } of ratios(results)) {
    lines.push(`gearhold analyze takes ${timesAsLong.toFixed(2)} times as long as ${name}`);
  }
  process.stdout.write(`${lines.join('\n')}\n`);
}
