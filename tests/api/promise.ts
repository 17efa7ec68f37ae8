/** Adds to `schemas/promised.json` what the API promises from now on. Refuses where something promised is broken. */
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { committedDocument } from './committed.ts';
import { brokenPromises, promiseOf } from './compatible.ts';

const path = join(import.meta.dirname, '../../schemas/promised.json');
const now = committedDocument();
const broken = brokenPromises(JSON.parse(readFileSync(path, 'utf8')), now);
if (broken.length === 0) writeFileSync(path, promiseOf(now));
else {
  process.stderr.write(`${broken.join('\n')}\nNothing was written: a promise is kept within a version.\n`);
  process.exitCode = 1;
}
