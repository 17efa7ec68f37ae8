/** Reads the data files of the published checks; their sources stand in `data/README.md`. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { parse } from 'csv-parse/sync';

const folder = join(import.meta.dirname, 'data');

/** One column of numbers of a CSV file with a header row; empty cells and `NA` are left out. */
export function readColumn(file: string, column: string): Float64Array {
  const rows: Record<string, string>[] = parse(readFileSync(join(folder, file)), { columns: true });
  const cells = rows.map((row) => row[column] ?? '');
  return Float64Array.from(cells.filter((cell) => cell !== '' && cell !== 'NA').map(Number));
}

/** The numbers of a NIST StRD file: one a line from line 61 on. */
export function readStrd(name: string): Float64Array {
  const lines = readFileSync(join(folder, 'nist-strd', `${name}.dat`), 'latin1').split(/\r?\n/);
  return Float64Array.from(
    lines
      .slice(60)
      .filter((line) => line.trim() !== '')
      .map(Number),
  );
}

export function readJson(file: string): unknown {
  return JSON.parse(readFileSync(join(folder, file), 'utf8'));
}
