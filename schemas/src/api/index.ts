export * from './access.ts';
export * from './anomalies.ts';
export * from './episodes.ts';
export * from './intake.ts';
export * from './notify.ts';
export * from './registry.ts';
