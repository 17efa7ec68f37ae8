/** Writes the JSON Schema files beside `src`. Run after a change to any schema: `npx node schemas/src/generate.ts`. */
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { publishedSchemas, schemaText } from './published.ts';

const folder = join(import.meta.dirname, '..');

for (const published of publishedSchemas) writeFileSync(join(folder, published.file), schemaText(published));
