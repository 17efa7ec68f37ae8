export * from './episode.ts';
