export * from './catalogue.ts';
export * from './reading.ts';
