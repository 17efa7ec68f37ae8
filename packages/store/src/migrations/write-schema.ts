/** Writes `packages/store/schema.txt` anew, after a migration was added. */
import { writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { openMemory } from '../engine/pglite.ts';
import { migrate } from './migrate.ts';
import { schemaText } from './schema-text.ts';

const engine = await openMemory();
await migrate(engine, 0);
await writeFile(join(import.meta.dirname, '../../schema.txt'), await schemaText(engine));
await engine.close();
