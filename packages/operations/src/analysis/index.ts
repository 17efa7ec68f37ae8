export * from './analyse-dirty.ts';
export type { VehicleOutcome } from './analyse-vehicle.ts';
