/**
 * The messages that cross the edge, each with the file that holds its JSON Schema. What a person writes is described as it
 * goes in, what the program writes as it comes out.
 */
import { vehiclesSchema } from '@gearhold/episodes';
import { policySchema, sitesSchema } from '@gearhold/policy';
import { readingSchema, sourceProfileSchema } from '@gearhold/signals';
import { z } from 'zod';
import { driversSchema } from './drivers.ts';
import { episodeSchema } from './episode.ts';
import { levelsSchema } from './levels.ts';
import { recipientsSchema } from './recipients.ts';
import { workMatchSchema, workSchema } from './work.ts';

export interface PublishedSchema {
  readonly file: string;
  readonly title: string;
  readonly schema: z.ZodType;
  readonly io: 'input' | 'output';
}

export const publishedSchemas: readonly PublishedSchema[] = [
  { file: 'reading.schema.json', title: 'Reading', schema: readingSchema, io: 'input' },
  { file: 'source-profile.schema.json', title: 'Source profile', schema: sourceProfileSchema, io: 'input' },
  { file: 'vehicles.schema.json', title: 'Vehicles file', schema: vehiclesSchema, io: 'input' },
  { file: 'sites.schema.json', title: 'Sites file', schema: sitesSchema, io: 'input' },
  { file: 'policy.schema.json', title: 'Policy file', schema: policySchema, io: 'input' },
  { file: 'recipients.schema.json', title: 'Recipients file', schema: recipientsSchema, io: 'input' },
  { file: 'episode.schema.json', title: 'Episode', schema: episodeSchema, io: 'output' },
  { file: 'levels.schema.json', title: 'Learned levels', schema: levelsSchema, io: 'output' },
  { file: 'work.schema.json', title: 'Work file', schema: workSchema, io: 'input' },
  { file: 'drivers.schema.json', title: 'Drivers file', schema: driversSchema, io: 'input' },
  { file: 'work-match.schema.json', title: 'Work matched to episodes', schema: workMatchSchema, io: 'output' },
];

/** The text of one schema file: JSON Schema 2020-12, two spaces, a line break at the end. */
export function schemaText({ title, schema, io }: PublishedSchema): string {
  const { $schema, ...rest } = z.toJSONSchema(schema, { io, target: 'draft-2020-12' });
  return `${JSON.stringify({ $schema, title, ...rest }, null, 2)}\n`;
}
