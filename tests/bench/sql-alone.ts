/** What a data engineer would write instead: DuckDB answering sql-answer.sql on the same file, with two threads. */
import { readFileSync } from 'node:fs';
import { DuckDBInstance } from '@duckdb/node-api';

const [readings, answer] = process.argv.slice(2) as [string, string];
const types = {
  time: 'TIMESTAMPTZ',
  vehicleId: 'VARCHAR',
  speedKph: 'DOUBLE',
  acceleratorPct: 'DOUBLE',
  gear: 'INTEGER',
  parkingBrake: 'INTEGER',
  suspensionKpa: 'DOUBLE',
};
const columns = Object.entries(types)
  .map(([name, type]) => `'${name}': '${type}'`)
  .join(', ');
const sql = readFileSync(new URL('sql-answer.sql', import.meta.url), 'utf8')
  .replace('/* name: type of every column */', columns)
  .replace("'readings.csv'", `'${readings}'`)
  .replace("'answer.csv'", `'${answer}'`);

const instance = await DuckDBInstance.create(':memory:', { threads: '2' });
const connection = await instance.connect();
await connection.run("set timezone = 'UTC'");
await connection.run('set preserve_insertion_order = false');
const result = await connection.run(sql);
process.stdout.write(`${result.rowsChanged} rows in the answer\n`);
connection.closeSync();
instance.closeSync();
