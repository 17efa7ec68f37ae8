/** The files that a night is killed over: three of two trucks of the demo fleet, with rows that are rejected, corrections, and a break. */
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { gunzipSync, gzipSync } from 'node:zlib';
import { demo } from './run-night.ts';

/** Makes and fills the folder. */
export function fillInbox(inbox: string): void {
  mkdirSync(inbox);
  const [header, ...rows] = gunzipSync(readFileSync(join(demo, 'readings.csv.gz')))
    .toString('utf8')
    .trimEnd()
    .split('\n');
  const mine = rows.filter((row) => /^[^,]*,(T-122|T-131),/.test(row));
  const text = (part: readonly string[]) => `${[header, ...part].join('\n')}\n`;
  const late = mine.slice(4000, 4200).map((row) => row.replace(/,\d+$/, ','));
  const bad = Array.from({ length: 150 }, (_, i) => `at ${i},T-122`);
  writeFileSync(join(inbox, 'a.csv'), text([...mine.slice(0, 5000), ...bad]));
  writeFileSync(join(inbox, 'b.csv.gz'), gzipSync(text([...late, ...mine.slice(4500)])));
  writeFileSync(join(inbox, 'c.csv.gz'), gzipSync(text(mine.slice(100, 900)), { level: 1 }).subarray(0, 9000));
}
