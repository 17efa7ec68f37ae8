/**
 * How right the analysis is, by figures: runs it over labelled sets of simulated readings and compares with the truth.
 * `npm run accuracy -- --help` says how to ask. These are simulated readings: no public recording of a coupling was found.
 */
import { rmSync, writeFileSync } from 'node:fs';
import { recipeOf } from '@gearhold/fixtures';
import { type Batch, makeBatch } from './batch.ts';
import type { Stated } from './calibration.ts';
import { readOptions } from './options.ts';
import { overall } from './overall.ts';
import {
  checkTable,
  episodeTable,
  figures,
  findingList,
  provableTable,
  reliabilityTable,
  type SetFigures,
  witnessTable,
} from './report.ts';
import { Tally } from './tally.ts';
import { analyse } from './wire.ts';

/** Trucks a run of the program: bounds the temporary files to some hundred megabytes. */
const trucksAtOnce = 10;

async function measure(set: string, seed: string, trucks: number, proving: boolean): Promise<Tally> {
  const tally = new Tally();
  // One batch is analysed, in a process of its own, while the next one is generated.
  let analysed = Promise.resolve();
  for (let from = 0; from < trucks; from += trucksAtOnce) {
    const batch = makeBatch(set, seed, from, Math.min(trucks, from + trucksAtOnce), proving);
    await analysed;
    analysed = count(batch, tally);
  }
  await analysed;
  return tally;
}

async function count(batch: Batch, tally: Tally): Promise<void> {
  try {
    const found = await analyse(batch.readings, batch.companions);
    tally.hours += batch.hours;
    tally.rows += batch.rows;
    tally.add(batch.truth, found, batch.facts);
  } finally {
    rmSync(batch.folder, { recursive: true, force: true });
  }
}

const asked = readOptions(process.argv.slice(2));
if (asked.kind !== 'run') {
  if (asked.kind === 'help') process.stdout.write(asked.text);
  else process.stderr.write(`${asked.sentence}\n`);
  process.exit(asked.kind === 'help' ? 0 : 2);
}
const { sets, seeds, list, prove, json } = asked.options;

const all: SetFigures[] = [];
const stated: Stated[] = [];
for (const { name: set, size } of sets) {
  for (const seed of seeds) {
    const begun = performance.now();
    const tally = await measure(set, seed, size, prove);
    all.push(figures(set, recipeOf(set).about, seed, size, tally));
    stated.push(...tally.stated);
    process.stderr.write(`${set} ${seed}: ${((performance.now() - begun) / 1000).toFixed(0)} s\n`);
  }
}
process.stdout.write(`Simulated readings: no public recording of a coupling was found.\n\n${episodeTable(all)}\n`);
const together = overall(all, stated);
const allSets = { set: 'all sets', checks: together.checks };
process.stdout.write(`${checkTable(all.length > 1 ? [...all, allSets] : all)}\n`);
if (prove) {
  process.stdout.write(`${provableTable(all.length > 1 ? [...all, allSets] : all)}\n`);
  process.stdout.write(`${witnessTable(together.checks)}\n`);
}
process.stdout.write(`${reliabilityTable(stated)}\n${findingList(all, list)}`);
if (json !== null) writeFileSync(json, `${JSON.stringify({ sets: all, overall: together }, null, 1)}\n`);
