export * from './drivers.ts';
export { episodeSchema } from './episode.ts';
export { levelsSchema, type TruckLevels } from './levels.ts';
export { type PublishedSchema, publishedSchemas, schemaText } from './published.ts';
export { type Recipient, recipientSchema, recipientsSchema } from './recipients.ts';
export * from './work.ts';
