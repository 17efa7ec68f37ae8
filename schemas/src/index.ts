export { episodeSchema } from './episode.ts';
export { type PublishedSchema, publishedSchemas, schemaText } from './published.ts';
