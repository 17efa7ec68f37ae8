/**
 * The bench of the store: what storing readings costs beside a plain COPY of the same columns in the same run, and how long
 * the analyst's usual questions take over a year of a fleet, with their plans.
 *
 *     npm run bench:store -- [--rows N] [--runs N] [--episodes N] [--vehicles N]
 *
 * Runs on PGlite in a folder of its own; with DATABASE_URL on that server, in a database of its own, which is dropped. The year
 * wants `--episodes 2000000 --vehicles 5000` (10 million checks) to be that of a large fleet.
 */
import { mkdtemp, rm } from 'node:fs/promises';
import { cpus, tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { type Engine, migrate, openFolder, openServer } from '@gearhold/store';
import { checksPerEpisode, fillFleetYear, planOf, usualQuestions } from './fleet-year.ts';
import { type LoadRun, measureLoads } from './store-loads.ts';

/** What storing may take at most, in times of a plain COPY. */
const ratioBound = 4;

const { values: options } = parseArgs({
  options: {
    rows: { type: 'string', default: '200000' },
    runs: { type: 'string', default: '5' },
    episodes: { type: 'string', default: '50000' },
    vehicles: { type: 'string', default: '500' },
  },
});
const untilMs = Date.UTC(2026, 2, 2);
const print = (line: string): void => void process.stdout.write(`${line}\n`);

const { engine, leave } = await openEmpty();
try {
  await migrate(engine, untilMs);
  const { engine: name, version, inProcess } = await engine.describe();
  print(`${name} ${version}, ${inProcess ? 'in process' : 'a server'}; ${cpus().length} x ${cpus()[0]?.model}`);
  await benchLoads();
  await benchQuestions();
} finally {
  await leave();
}

async function benchLoads(): Promise<void> {
  const runs = await measureLoads(engine, Number(options.rows), Number(options.runs));
  print(`\nStoring ${options.rows} readings with every signal, the fastest of ${options.runs} runs:`);
  const plain = fastest(runs, 'copy');
  for (const [kind, title] of [
    ['copy', 'plain COPY, no key and no rule'],
    ['fresh', 'readings later than all that is stored'],
    ['again', 'the same readings again'],
    ['late', 'readings between those that are stored'],
  ] as const) {
    const seconds = fastest(runs, kind);
    const rate = Math.round(Number(options.rows) / seconds / 1000);
    print(`  ${title.padEnd(42)} ${seconds.toFixed(2)} s  ${rate}k rows/s  ${(seconds / plain).toFixed(2)} x`);
  }
  const ratio = fastest(runs, 'fresh') / plain;
  if (ratio > ratioBound) {
    print(`  above the bound of ${ratioBound} x`);
    process.exitCode = 1;
  }
}

function fastest(runs: readonly LoadRun[], kind: LoadRun['kind']): number {
  return Math.min(...runs.filter((run) => run.kind === kind).map(({ seconds }) => seconds));
}

async function benchQuestions(): Promise<void> {
  const episodes = Number(options.episodes);
  const began = performance.now();
  await fillFleetYear(engine, { vehicles: Number(options.vehicles), terminals: 20, episodes, untilMs });
  const filled = ((performance.now() - began) / 1000).toFixed(0);
  print(
    `\nA year of ${options.vehicles} vehicles: ${episodes} episodes, ${episodes * checksPerEpisode} checks (${filled} s to make)`,
  );
  for (const question of usualQuestions(untilMs)) {
    const times: number[] = [];
    let rows = 0;
    for (let run = 0; run < 5; run++) {
      const start = performance.now();
      rows = (await engine.rows(question.sql, question.parameters)).length;
      times.push(performance.now() - start);
    }
    const plan = await planOf(engine, question);
    const shown = plan.map(({ scan, relation, index }) =>
      index === null ? `${scan} of ${relation}` : `${scan} by ${index}`,
    );
    const [first, ...rest] = times;
    print(`  ${question.name}: ${first!.toFixed(0)} ms, then ${Math.min(...rest).toFixed(1)} ms, ${rows} rows`);
    print(`    ${shown.join('; ')}`);
    if (plan.some(({ scan }) => scan === 'Seq Scan')) process.exitCode = 1;
  }
}

async function openEmpty(): Promise<{ engine: Engine; leave: () => Promise<void> }> {
  const { DATABASE_URL: databaseUrl } = process.env;
  if (!databaseUrl) {
    const folder = await mkdtemp(join(tmpdir(), 'gearhold-store-bench-'));
    const engine = await openFolder(folder);
    return {
      engine,
      leave: async () => {
        await engine.close();
        await rm(folder, { recursive: true });
      },
    };
  }
  const admin = await openServer(databaseUrl);
  const name = `gearhold_bench_${process.pid}`;
  await admin.query(`create database ${name}`);
  const at = new URL(databaseUrl);
  at.pathname = `/${name}`;
  const engine = await openServer(at.href);
  return {
    engine,
    leave: async () => {
      await engine.close();
      await admin.query(`drop database ${name} with (force)`);
      await admin.close();
    },
  };
}
