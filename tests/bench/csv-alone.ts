/** The floor of any reader in this language: csv-parse alone, reading the same columns as arrays. Prints the rows read. */
import { createReadStream } from 'node:fs';
import { parse } from 'csv-parse';

const parser = createReadStream(process.argv[2]!, { highWaterMark: 1 << 18 }).pipe(parse({ from_line: 2 }));
let rows = 0;
parser.on('readable', () => {
  for (let record = parser.read(); record !== null; record = parser.read()) rows += 1;
});
parser.on('end', () => process.stdout.write(`${rows}\n`));
