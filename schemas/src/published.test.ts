import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { publishedSchemas, schemaText } from './published.ts';

const folder = join(import.meta.dirname, '..');

it.each(publishedSchemas)(
  '$file is what the schemas in code say; else run npx node schemas/src/generate.ts',
  (published) => {
    expect(readFileSync(join(folder, published.file), 'utf8')).toBe(schemaText(published));
  },
);

it('there is no schema file that nothing writes', () => {
  const files = readdirSync(folder).filter((name) => name.endsWith('.schema.json'));
  expect(files.sort()).toEqual(publishedSchemas.map(({ file }) => file).sort());
});
