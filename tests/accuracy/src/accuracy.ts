/**
 * How right the analysis is, on simulated readings: no public recording of a coupling was found. One table on standard
 * output, or JSON with `--json`.
 *
 *     npm run accuracy -- [--sets a,b] [--seed held-out-1] [--size 8] [--json FILE]
 *
 * An episode is found where one of the same vehicle and kind lies within 15 s of the true load transfer. A false `missed`
 * is a verdict against which the truth says `met` or `not-applicable`; each is listed.
 */
import { writeFileSync } from 'node:fs';
import { parseArgs } from 'node:util';
import { measureSet, type SetFigures } from './measure.ts';

const usualSets = '1hz-noisy,clean-1hz,0.2hz,change-only,no-gear,key-off-gaps,axle-load,confounders';

const { values } = parseArgs({
  options: {
    sets: { type: 'string', default: usualSets },
    seed: { type: 'string', default: 'held-out-1' },
    size: { type: 'string', default: '8' },
    json: { type: 'string' },
  },
});

const head = [
  'set',
  'hours',
  'true',
  'found',
  'precision',
  'recall',
  'F1',
  'seen F1',
  'transfer error p95',
  'verdicts',
  'false missed',
  'false/1000 h',
];
const figures: SetFigures[] = [];
process.stdout.write(
  `Simulated readings, seed ${values.seed}, ${values.size} trucks a set\n\n| ${head.join(' | ')} |\n|${head.map(() => '--').join('|')}|\n`,
);
for (const name of values.sets.split(',')) {
  const f = measureSet(name, values.seed, Number(values.size));
  figures.push(f);
  const share = (x: number) => (Number.isNaN(x) ? '' : x.toFixed(3));
  const row = [
    name,
    f.vehicleHours.toFixed(0),
    f.trueEpisodes,
    f.claimed,
    share(f.precision),
    share(f.recall),
    share(f.f1),
    share(f.f1Seen),
    Number.isNaN(f.transferErrorP95) ? '' : `${f.transferErrorP95.toFixed(1)} s`,
    f.provableVerdicts,
    f.falseMissed.length,
    ((1000 * (f.claimed - f.hits)) / f.vehicleHours).toFixed(0),
  ];
  process.stdout.write(`| ${row.join(' | ')} |\n`);
}
process.stdout.write('\n');
for (const f of figures) {
  for (const line of f.falseMissed) process.stdout.write(`false missed in ${f.set}: ${line}\n`);
}
if (values.json !== undefined) writeFileSync(values.json, `${JSON.stringify(figures, null, 1)}\n`);
