export * from './pairing.ts';
export * from './proportion.ts';
