/**
 * How right the analysis is, by figures: runs it over labelled sets of simulated readings and compares with the truth.
 *
 *     npm run accuracy -- [--sets a,b] [--seeds held-out|tuning] [--size TRUCKS] [--json FILE] [--list N] [--prove]
 *
 * Defaults: every set, held-out seeds, 20 trucks a set (a day each), 5 findings listed a set. `--seeds` also takes full
 * seeds: `--seeds held-out-1,held-out-2`. `--prove` asks the enumerator what was provable, which takes longer. These are
 * simulated readings: no public recording of a coupling was found.
 */
import { rmSync, writeFileSync } from 'node:fs';
import { parseArgs } from 'node:util';
import { recipeOf, setNames } from '@gearhold/fixtures';
import { makeBatch } from './batch.ts';
import type { Stated } from './calibration.ts';
import { checkTable, episodeTable, figures, findingList, reliabilityTable, type SetFigures } from './report.ts';
import { Tally } from './tally.ts';
import { analyse } from './wire.ts';

/** Trucks a run of the program: bounds the temporary files to some hundred megabytes. */
const trucksAtOnce = 20;

async function measure(set: string, seed: string, trucks: number, proving: boolean): Promise<Tally> {
  const tally = new Tally();
  for (let from = 0; from < trucks; from += trucksAtOnce) {
    const batch = makeBatch(set, seed, from, Math.min(trucks, from + trucksAtOnce), proving);
    try {
      const found = await analyse(batch.readings, batch.companions);
      tally.hours += batch.hours;
      tally.rows += batch.rows;
      tally.add(batch.truth, found, batch.facts);
    } finally {
      rmSync(batch.folder, { recursive: true, force: true });
    }
  }
  return tally;
}

function fail(sentence: string): never {
  process.stderr.write(`${sentence}\n`);
  process.exit(2);
}

const { values } = parseArgs({
  options: {
    sets: { type: 'string' },
    seeds: { type: 'string', default: 'held-out' },
    size: { type: 'string', default: '20' },
    json: { type: 'string' },
    list: { type: 'string', default: '5' },
    prove: { type: 'boolean', default: false },
  },
});
const sets = values.sets === undefined ? setNames : values.sets.split(',');
for (const set of sets) {
  if (!setNames.includes(set)) fail(`--sets: no set '${set}'; there are: ${setNames.join(', ')}`);
}
const seeds = values.seeds.split(',').map((seed) => (/-\d+$/.test(seed) ? seed : `${seed}-1`));
for (const seed of seeds) {
  if (!/^(held-out|tuning)-/.test(seed))
    fail(`--seeds: '${seed}' must be held-out or tuning, or begin with one of them`);
}
const size = Number(values.size);
if (!Number.isInteger(size) || size < 1) fail(`--size: '${values.size}' must be a whole number of trucks, 1 or more`);
const most = Number(values.list);
if (!Number.isInteger(most) || most < 0) fail(`--list: '${values.list}' must be a whole number of lines, 0 or more`);

const all: SetFigures[] = [];
const stated: Stated[] = [];
for (const set of sets) {
  for (const seed of seeds) {
    const begun = performance.now();
    const tally = await measure(set, seed, size, values.prove);
    all.push(figures(set, recipeOf(set).about, seed, size, tally));
    stated.push(...tally.stated);
    process.stderr.write(`${set} ${seed}: ${((performance.now() - begun) / 1000).toFixed(0)} s\n`);
  }
}
process.stdout.write(`Simulated readings: no public recording of a coupling was found.\n\n${episodeTable(all)}\n`);
process.stdout.write(`${checkTable(all)}\n${reliabilityTable(stated)}\n${findingList(all, most)}`);
if (values.json !== undefined) writeFileSync(values.json, `${JSON.stringify({ sets: all }, null, 1)}\n`);
